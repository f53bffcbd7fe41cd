import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: 28rem;
  }
  dialog p {
    margin: var(--space-4) 0 var(--space-6);
  }
`;
