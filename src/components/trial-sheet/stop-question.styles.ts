import { css } from 'lit';

export const styles = css`
  dialog {
    max-width: 28rem;
    padding: 1.2rem 1.4rem;
    border: 1.5px solid var(--ink);
    border-radius: 4px;
    background: var(--sheet);
    color: var(--ink);
    box-shadow: var(--shadow);
  }
  dialog::backdrop {
    background: rgb(0 0 0 / 35%);
  }
  dialog p {
    margin: 0.6rem 0 1.1rem;
  }
  .buttons {
    display: flex;
    flex-wrap: wrap;
    gap: 0.6rem;
    justify-content: flex-end;
  }
  .buttons .main {
    border-color: var(--ink);
    background: var(--ink);
    color: var(--sheet);
  }
  @media (forced-colors: active) {
    .buttons .main {
      forced-color-adjust: none;
      background: Highlight;
      color: HighlightText;
    }
  }
`;
