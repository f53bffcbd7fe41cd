import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: var(--pane-9);
  }
  dialog p {
    margin: var(--space-4) 0 var(--space-6);
  }
`;
