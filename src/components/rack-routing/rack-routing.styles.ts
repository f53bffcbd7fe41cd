import { css } from 'lit';

export const styles = css`
  :host {
    --label-width: 4.6rem;
    --field-width: 4.2rem;
  }
  summary {
    display: flex;
    align-items: center;
    min-height: var(--target);
    color: var(--ink-2);
    cursor: pointer;
    list-style: none;
  }
  summary::-webkit-details-marker {
    display: none;
  }
  summary::before {
    content: '';
    width: 0.4rem;
    height: 0.4rem;
    margin: 0 0.55rem 0 0.1rem;
    border: solid currentColor;
    border-width: 0 1.5px 1.5px 0;
    transform: rotate(-45deg);
  }
  details[open] summary::before {
    transform: rotate(45deg);
  }
  summary:hover {
    color: var(--ink);
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
