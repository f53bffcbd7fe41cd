import { css } from 'lit';

export const styles = css`
  /* One above the other in the Out column, side by side beside Play. */
  .sides {
    grid-auto-flow: row;
  }
  .sides label + label {
    border-left: 0;
    border-top: 1px solid var(--rule-strong);
  }
  .sides.large input + span {
    justify-items: stretch;
    grid-template-columns: var(--row-1) minmax(0, 1fr);
    align-items: center;
    column-gap: var(--space-5);
    min-height: var(--row-4);
    padding: 0 var(--space-5);
    font-size: var(--text-lead);
    font-weight: 600;
  }
  .sides b {
    overflow: hidden;
    max-width: 100%;
    font-weight: inherit;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  /* The same line as in every plot. */
  .line {
    height: 0;
    border-top: 1px solid var(--clean);
  }
  .coloured .line {
    border-top: 3px solid var(--coloured);
  }
  .added .line {
    border-top: 2px dotted var(--coloured);
  }
  .sides .coloured input:checked + span,
  .sides .added input:checked + span {
    background: var(--coloured);
    color: var(--coloured-ink);
  }
  .sides input:checked + span .line {
    border-color: currentColor;
  }
  :host([show='switch']) .sides {
    grid-auto-flow: column;
    grid-auto-columns: 1fr;
  }
  :host([show='switch']) .sides label + label {
    border-top: 0;
    border-left: 1px solid var(--rule-strong);
  }
  :host([show='switch']) .sides.large input + span {
    grid-template-columns: minmax(0, 1fr);
    justify-items: center;
    align-content: center;
    row-gap: var(--space-2);
    min-height: var(--row-4);
    padding: 0 var(--space-2);
    font-size: var(--text-body);
  }
  :host([show='switch']) .line {
    width: var(--row-1);
  }
  :host {
    position: relative;
  }
  /* At the right of the column's heading: below the switch every line is needed. */
  .trial {
    position: absolute;
    top: calc(-1 * var(--row-3));
    right: 0;
    border-color: var(--rule);
    font-size: var(--text-small);
  }
  :host([show='figures']) .trial {
    position: static;
    width: 100%;
    font-size: inherit;
  }
  .compared summary {
    font-size: var(--text-small);
  }
  .compared.other > summary {
    margin: var(--space-3) calc(-1 * var(--space-3)) 0;
    padding: var(--space-2) var(--space-3);
    color: var(--ink);
  }
  summary span {
    min-width: 0;
    overflow-wrap: anywhere;
  }
  summary small {
    display: block;
    color: inherit;
  }
  .row {
    display: grid;
    grid-template-columns: 5.4ch minmax(0, 1fr);
    align-items: center;
    column-gap: var(--space-3);
    min-height: var(--target-row);
  }
  .row select {
    width: 100%;
    padding: 0 var(--space-3);
  }
  .compared button {
    width: 100%;
    margin-top: var(--space-2);
  }
  .compared[open] {
    padding-bottom: var(--space-3);
    border-bottom: 1px solid var(--rule);
  }
  .scope {
    padding-top: var(--space-1);
    color: var(--coloured);
    font-size: var(--text-small);
    text-align: center;
  }
  label.matching {
    display: flex;
    justify-content: space-between;
  }
  label.matching.off {
    margin-inline: calc(-1 * var(--space-3));
    padding: 0 var(--space-3);
  }
  .unmatched {
    padding-top: var(--space-1);
    color: var(--warn);
    font-size: var(--text-small);
    text-align: center;
  }
  .matching small {
    display: block;
  }
  .matching.off small {
    color: inherit;
  }
  .missed {
    color: var(--warn);
    font-weight: bold;
  }
  table {
    margin: var(--space-1) 0 var(--space-2);
    font-size: var(--text-small);
  }
  th[scope='row'],
  thead {
    color: var(--ink-2);
  }
  th,
  td {
    padding-left: 0;
  }
  .exact {
    display: inline-block;
    width: var(--mark-4);
  }
  p + p,
  .trim {
    margin-top: var(--space-1);
  }
  .trim {
    --label-width: 8.8ch;
    --field-width: 7.9ch;
  }
  @media (forced-colors: active) {
    .sides input:checked + span {
      forced-color-adjust: none;
      background: Highlight;
      color: HighlightText;
    }
  }
`;
