import { css } from 'lit';

export const styles = css`
  .list {
    margin-bottom: var(--space-1);
  }
  label {
    padding-inline: var(--space-1);
  }
  label + label {
    border-top: 1px solid var(--rule);
  }
  .all span {
    font-weight: 600;
  }
`;
