import { css } from 'lit';

export const styles = css`
  .modes {
    display: flex;
    flex-wrap: wrap;
    gap: 0 var(--space-5);
  }
  .list {
    margin: var(--space-1) 0;
  }
  [role='group'] {
    padding: var(--space-1) var(--space-1);
  }
  [role='group'] + [role='group'] {
    border-top: 1px solid var(--rule);
  }
  .list:empty {
    display: none;
  }
  button {
    width: 100%;
  }
`;
