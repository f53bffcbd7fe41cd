import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: 28rem;
  }
  dialog p {
    margin: var(--space-4) 0 var(--space-6);
  }
  dialog .answers .main {
    border-color: var(--ink);
    background: var(--ink);
    color: var(--sheet);
  }
  @media (forced-colors: active) {
    dialog .answers .main {
      forced-color-adjust: none;
      background: Highlight;
      color: HighlightText;
    }
  }
`;
