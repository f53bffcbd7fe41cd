import { css } from 'lit';

export const styles = css`
  :host {
    --label-width: 4.6rem;
    --field-width: 4.2rem;
  }
  .row {
    display: grid;
    grid-template-columns: var(--label-width) minmax(0, 1fr);
    align-items: center;
    column-gap: 0.6rem;
    min-height: calc(var(--target) + 0.2rem);
  }
  .row input,
  select {
    width: 100%;
    min-height: var(--target);
    padding: 0 0.4rem;
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
    background: var(--sheet);
  }
  button {
    width: 100%;
    margin-top: 0.4rem;
  }
`;
