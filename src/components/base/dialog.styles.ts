import { css } from 'lit';

/** A dialog is a sheet of the same paper, laid on the page. It says how wide it is by `--dialog-width`. */
export const dialog = css`
  dialog {
    width: min(var(--dialog-width, var(--pane-9)), calc(100vw - var(--space-7)));
    max-height: calc(100dvh - var(--space-7));
    padding: 0;
    border: 1.5px solid var(--ink);
    border-radius: var(--radius);
    background: var(--sheet);
    color: var(--ink);
    box-shadow: var(--shadow);
  }
  dialog::backdrop {
    background: rgb(0 0 0 / 35%);
  }
`;

/** A dialog that asks one thing: its text, then the answers at the right. */
export const asking = css`
  dialog {
    padding: var(--space-6) var(--space-6);
  }
  dialog .answers {
    display: flex;
    flex-wrap: wrap;
    gap: var(--space-4);
    justify-content: flex-end;
  }
`;
