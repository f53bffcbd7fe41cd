import { css } from 'lit';

export const styles = css`
  section {
    border-top: 1.5px solid var(--ink);
    padding-top: 0.5rem;
  }
  .heading {
    align-items: center;
  }
  .heading button {
    display: inline-flex;
    align-items: center;
    gap: 0.3rem;
    margin: -0.2rem 0;
    color: var(--ink-2);
    font-size: var(--small);
  }
  .heading svg {
    width: 0.75rem;
    height: 0.75rem;
  }
  .heading {
    flex-wrap: nowrap;
    gap: 0.4rem;
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
    gap: 0.1rem;
    margin-right: -0.45rem;
  }
  .tools button[aria-pressed='true'] {
    color: var(--sheet);
  }
  /* Many rows scroll by themselves; the sheet beside them stays where it is. */
  .scroller {
    position: relative;
    max-height: max(15rem, 48dvh);
    margin-top: 0.15rem;
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
    width: 1.6rem;
  }
  thead .plr {
    width: 3.6rem;
  }
  thead .strip {
    width: 3.75rem;
  }
  thead .on {
    width: 2.6rem;
  }
  thead .gain {
    width: 3.4rem;
  }
  thead .into {
    width: 4.7rem;
  }
  td.gain,
  td.into {
    padding-left: 0.35rem;
  }
  td.gain value-slider {
    --field-width: 3.05rem;
    min-height: 0;
  }
  td.into select {
    width: 100%;
    min-height: 1.5rem;
    padding: 0 0.25rem;
    border-color: var(--rule);
    appearance: none;
    font-size: var(--small);
    text-overflow: ellipsis;
  }
  thead th {
    padding-bottom: 0.15rem;
    color: var(--ink-2);
    font-size: var(--small);
    text-align: right;
    white-space: nowrap;
  }
  tbody tr {
    border-top: 1px solid var(--rule);
  }
  td {
    padding-left: 0.7rem;
    color: var(--ink-2);
    text-align: right;
    white-space: nowrap;
  }
  .bus th button,
  .mix th button {
    font-weight: 600;
  }
  .in-bus th button {
    padding-left: 1rem;
  }
  tbody th button {
    width: 100%;
    min-height: max(1.75rem, var(--target));
    padding: 0 0.4rem 0 0.1rem;
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
    padding-left: 0.6rem;
    color: var(--coloured);
    font-weight: 600;
  }
  .chosen.in-bus th button {
    padding-left: 1.5rem;
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
    max-width: 1.4rem;
  }
  .strip {
    width: 0;
    padding-left: 0.45rem;
  }
  .letter {
    width: 1.35rem;
    min-height: 1.35rem;
    padding: 0;
    border-color: transparent;
    background: none;
    font-size: var(--axis);
    line-height: 1;
  }
  .letter + .letter {
    margin-left: 2px;
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
    gap: 0 0.3rem;
    margin: -0.2rem 0 0.1rem;
    padding-left: 0.1rem;
    color: var(--warn);
    font-size: var(--small);
    white-space: nowrap;
  }
  .in-bus .missing {
    padding-left: 1rem;
  }
  .missing > span {
    display: inline-flex;
    align-items: center;
    gap: 0.3rem;
  }
  .missing svg {
    width: 0.85rem;
    height: 0.85rem;
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
    margin-top: 0.4rem;
    padding: 0.35rem 0.6rem 0.2rem;
    border-left: 3px solid var(--ink);
    background: var(--well);
    font-size: var(--small);
  }
  .solo div {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    justify-content: space-between;
  }
  .solo button {
    margin-right: -0.45rem;
  }
  .on {
    width: 0;
    padding-left: 0.2rem;
    padding-right: 0.2rem;
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
    gap: 0.4rem;
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
    min-width: 5.5rem;
    padding: 0 0.7rem;
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
    padding: 0 0.2rem 0 0;
  }
  :host([narrow]) .letter {
    width: var(--target);
    min-height: var(--target);
    font-size: var(--small);
  }
  :host([narrow]) .chosen {
    border-color: var(--coloured);
    box-shadow: inset 0 -3px 0 var(--coloured);
  }
  :host([narrow]) .missing {
    width: auto;
    padding: 0 0.7rem;
  }
  :host([narrow]) .in-bus {
    margin-left: -0.1rem;
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
