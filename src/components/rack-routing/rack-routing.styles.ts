import { css } from 'lit';

export const styles = css`
  :host {
    --label-width: 8.3ch;
    --field-width: 7.6ch;
  }
  .row {
    display: grid;
    grid-template-columns: var(--label-width) minmax(0, 1fr);
    align-items: center;
    column-gap: var(--space-4);
    min-height: var(--target-row);
  }
  .row input,
  select {
    width: 100%;
    min-height: var(--target);
    padding: 0 var(--space-3);
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
    background: var(--sheet);
  }
  button {
    width: 100%;
    margin-top: var(--space-3);
  }
`;
