import { css } from 'lit';

export const styles = css`
  .modes {
    display: flex;
    flex-wrap: wrap;
    gap: 0 1rem;
  }
  .list {
    margin: 0.2rem 0;
  }
  [role='group'] {
    padding: 0.2rem 0.15rem;
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
