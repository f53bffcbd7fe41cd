import { css } from 'lit';

export const styles = css`
  section {
    border-top: 1.5px solid var(--ink);
    padding-top: var(--space-3);
  }
  .heading {
    align-items: center;
  }
  .heading button {
    display: inline-flex;
    align-items: center;
    gap: var(--space-2);
    margin: calc(-1 * var(--space-1)) 0;
    color: var(--ink-2);
    font-size: var(--text-small);
  }
  .heading svg {
    width: var(--mark-3);
    height: var(--mark-3);
  }
  .heading {
    flex-wrap: nowrap;
    gap: var(--space-3);
  }
  .heading > * {
    white-space: nowrap;
  }
  .count {
    flex: 1;
    white-space: nowrap;
  }
  .tools {
    display: inline-flex;
    gap: var(--space-1);
    margin-right: calc(-1 * var(--space-3));
  }
  .tools button[aria-pressed='true'] {
    color: var(--sheet);
  }
  /* Many rows scroll by themselves; the sheet beside them stays where it is. */
  .scroller {
    position: relative;
    max-height: max(var(--pane-5), 48dvh);
    margin-top: var(--space-1);
    overflow-y: auto;
    scrollbar-width: thin;
  }
  table {
    table-layout: fixed;
  }
  thead th {
    position: sticky;
    top: 0;
    z-index: 1;
    background: var(--sheet);
  }
  thead .stages {
    width: var(--row-1);
  }
  thead .plr {
    width: 6.2ch;
  }
  thead .strip {
    width: calc(2 * var(--row-2));
  }
  thead .on {
    width: var(--row-3);
  }
  thead .gain {
    width: 5.8ch;
  }
  thead .into {
    width: 8ch;
  }
  td.gain,
  td.into {
    padding-left: var(--space-2);
  }
  td.gain value-slider {
    --field-width: 4.8ch;
    min-height: 0;
  }
  td.into select {
    width: 100%;
    min-height: var(--row-1);
    padding: 0 var(--space-2);
    border-color: var(--rule);
    appearance: none;
    font-size: var(--text-small);
    text-overflow: ellipsis;
  }
  thead th {
    padding-bottom: var(--space-1);
    color: var(--ink-2);
    font-size: var(--text-small);
    text-align: right;
    white-space: nowrap;
  }
  tbody tr {
    border-top: 1px solid var(--rule);
  }
  td {
    padding-left: var(--space-4);
    color: var(--ink-2);
    text-align: right;
    white-space: nowrap;
  }
  .bus th button,
  .mix th button {
    font-weight: 600;
  }
  .in-bus th button {
    padding-left: var(--space-5);
  }
  tbody th button {
    width: 100%;
    min-height: max(var(--row-1), var(--target));
    padding: 0 var(--space-3) 0 var(--space-1);
    border: 0;
    border-radius: 0;
    background: none;
    overflow: hidden;
    text-align: left;
    text-overflow: ellipsis;
    white-space: nowrap;
    user-select: none;
  }
  tbody th button:hover:not(:disabled) {
    background: none;
    color: var(--coloured);
  }
  tbody tr:hover {
    background: var(--well);
  }
  .selected {
    background: var(--wash);
  }
  .chosen {
    background: var(--wash);
    box-shadow: inset 3px 0 0 var(--coloured);
  }
  .chosen th button {
    padding-left: var(--space-4);
    color: var(--coloured);
    font-weight: 600;
  }
  .chosen.in-bus th button {
    padding-left: var(--space-7);
  }
  .chosen td {
    color: var(--ink);
  }
  .off td:not(.on, .strip),
  .off th button {
    text-decoration: line-through;
    text-decoration-color: var(--rule-strong);
  }
  /* The heading may stand over the names, which have none on the screen. */
  .stages span {
    float: right;
    direction: rtl;
  }
  .stages {
    max-width: var(--mark-7);
  }
  .strip {
    width: 0;
    padding-left: var(--space-3);
  }
  .letter {
    width: var(--mark-7);
    min-height: var(--mark-7);
    padding: 0;
    border-color: transparent;
    background: none;
    font-size: var(--text-small);
    line-height: 1;
  }
  .letter + .letter {
    margin-left: var(--space-1);
  }
  .letter[aria-pressed='true'] {
    font-weight: 700;
  }
  .muted th button:not(:hover) {
    color: var(--ink-2);
  }
  .lost > * {
    vertical-align: baseline;
  }
  .missing {
    position: relative;
    display: flex;
    /* Below the row's figures, and none of their columns gets wider by it. */
    width: 0;
    align-items: center;
    gap: 0 var(--space-2);
    margin: calc(-1 * var(--space-1)) 0 var(--space-1);
    padding-left: var(--space-1);
    color: var(--warn);
    font-size: var(--text-small);
    white-space: nowrap;
  }
  .in-bus .missing {
    padding-left: var(--space-5);
  }
  .missing > span {
    display: inline-flex;
    align-items: center;
    gap: var(--space-2);
  }
  .missing svg {
    width: var(--mark-4);
    height: var(--mark-4);
  }
  .missing button {
    color: var(--ink);
    text-decoration: underline;
    text-underline-offset: 0.15em;
  }
  .target {
    box-shadow: inset 0 0 0 2px var(--coloured);
  }
  .solo {
    margin-top: var(--space-3);
    padding: var(--space-2) var(--space-4) var(--space-1);
    border-left: 3px solid var(--ink);
    background: var(--well);
    font-size: var(--text-small);
  }
  .solo div {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    justify-content: space-between;
  }
  .solo button {
    margin-right: calc(-1 * var(--space-3));
  }
  .on {
    width: 0;
    padding-left: var(--space-1);
    padding-right: var(--space-1);
    line-height: 1;
  }
  .on input {
    transform: scale(0.86);
    transform-origin: right center;
  }
  button:focus-visible {
    outline-offset: -2px;
  }

  /* A strip: each rack one card, the same table for screen readers. */
  :host([narrow]) section {
    border-top: 0;
    padding-top: 0;
  }
  :host([narrow]) .heading,
  :host([narrow]) thead {
    position: absolute;
    width: 1px;
    height: 1px;
    overflow: hidden;
    clip-path: inset(50%);
  }
  :host([narrow]) .scroller {
    max-height: none;
    margin: 0;
    overflow: visible;
  }
  :host([narrow]) table {
    display: block;
    margin: 0;
    overflow-x: auto;
    scrollbar-width: none;
    scroll-snap-type: x proximity;
  }
  :host([narrow]) tbody {
    display: flex;
    gap: var(--space-3);
    width: max-content;
  }
  :host([narrow]) tbody tr {
    display: grid;
    grid-template-columns: auto auto;
    justify-content: space-between;
    border: 1px solid var(--rule);
    border-radius: var(--radius);
    scroll-snap-align: center;
  }
  :host([narrow]) tbody th button {
    min-width: var(--pane-1);
    padding: 0 var(--space-4);
    white-space: nowrap;
  }
  :host([narrow]) tbody td {
    display: none;
  }
  :host([narrow]) .chosen .strip,
  :host([narrow]) .switched .strip {
    display: flex;
    align-items: center;
    width: auto;
    padding: 0 var(--space-1) 0 0;
  }
  :host([narrow]) .letter {
    width: var(--target);
    min-height: var(--target);
    font-size: var(--text-small);
  }
  :host([narrow]) .chosen {
    border-color: var(--coloured);
    box-shadow: inset 0 -3px 0 var(--coloured);
  }
  :host([narrow]) .missing {
    width: auto;
    padding: 0 var(--space-4);
  }
  :host([narrow]) .in-bus {
    margin-left: calc(-1 * var(--space-1));
  }
  @media (forced-colors: active) {
    .selected:not(.chosen) {
      outline: 1px dashed Highlight;
    }
    .chosen {
      outline: 2px solid Highlight;
    }
  }
`;
