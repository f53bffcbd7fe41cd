import { css } from 'lit';

export const styles = css`
  section {
    position: relative;
    padding-top: 0.35rem;
    border-top: 1.5px solid var(--ink);
  }
  summary {
    color: var(--ink);
  }
  summary small {
    margin-left: auto;
  }
  details[open] small {
    display: none;
  }
  .store {
    position: absolute;
    top: 0.35rem;
    right: -0.45rem;
    display: inline-flex;
    align-items: center;
    gap: 0.3rem;
    color: var(--ink-2);
    font-size: var(--small);
  }
  .store svg {
    width: 0.75rem;
    height: 0.75rem;
  }
  ul {
    margin: 0 0 0.35rem;
    padding: 0;
    border-bottom: 1px solid var(--rule);
    list-style: none;
  }
  li {
    display: grid;
    grid-template: auto auto / minmax(0, 1fr) auto auto auto;
    align-items: center;
    border-top: 1px solid var(--rule);
  }
  li > input {
    grid-column: 1 / 3;
  }
  /* The notes unfold below the whole row; folded, their heading stands beside the buttons. */
  note-field {
    grid-row: 2;
    grid-column: 1 / -1;
    --summary-end: 7.5rem;
  }
  .recall,
  .update {
    z-index: 1;
    grid-row: 2;
    align-self: start;
  }
  .recall {
    grid-column: 2;
  }
  .update {
    grid-column: 3 / -1;
  }
  .sides {
    display: flex;
    gap: 2px;
    padding-inline: 0.2rem;
  }
  li .side {
    width: 1.35rem;
    min-height: 1.35rem;
    padding: 0;
    font-size: var(--axis);
    line-height: 1;
  }
  .side:not([aria-pressed='true']) {
    border-color: transparent;
    background: none;
  }
  .side[aria-pressed='true'] {
    font-weight: 700;
  }
  li input {
    width: 100%;
    min-height: var(--target);
    padding: 0 0.25rem;
    border: 1px solid transparent;
    border-radius: var(--radius);
    background: none;
    text-overflow: ellipsis;
  }
  li input:hover {
    border-color: var(--rule-strong);
  }
  li input:focus {
    border-color: var(--ink);
    background: var(--sheet);
    outline-offset: 0;
  }
  li button {
    padding-inline: 0.35rem;
    font-size: var(--small);
  }
  li .icon {
    padding: 0;
    color: var(--ink-2);
  }
  value-slider {
    --label-width: 4.9rem;
    --field-width: 4.4rem;
  }
  .align {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: 0.3rem 0.4rem;
    margin-top: 0.35rem;
  }
  .align > span {
    margin-right: auto;
  }
  .align button {
    padding-inline: 0.5rem;
    border-color: var(--rule);
  }
`;
