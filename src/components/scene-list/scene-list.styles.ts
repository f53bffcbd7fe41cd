import { css } from 'lit';

export const styles = css`
  section {
    position: relative;
    padding-top: var(--space-2);
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
    top: var(--space-2);
    right: calc(-1 * var(--space-3));
    display: inline-flex;
    align-items: center;
    gap: var(--space-2);
    color: var(--ink-2);
    font-size: var(--text-small);
    line-height: 1.2;
  }
  .store svg {
    width: var(--mark-3);
    height: var(--mark-3);
  }
  ul {
    margin: 0 0 var(--space-2);
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
    --summary-end: var(--pane-2);
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
    gap: var(--space-1);
    padding-inline: var(--space-1);
  }
  li .side {
    width: var(--mark-7);
    min-height: var(--mark-7);
    padding: 0;
    font-size: var(--text-small);
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
    padding: 0 var(--space-2);
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
    padding-inline: var(--space-2);
    font-size: var(--text-small);
  }
  li .icon {
    padding: 0;
    color: var(--ink-2);
  }
  value-slider {
    --label-width: 8.8ch;
    --field-width: 7.9ch;
  }
  .align {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: var(--space-2) var(--space-3);
    margin-top: var(--space-2);
  }
  .align > span {
    margin-right: auto;
  }
  .align button {
    padding-inline: var(--space-3);
    border-color: var(--rule);
  }
`;
