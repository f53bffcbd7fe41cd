import { css } from 'lit';

export const styles = css`
  .sides {
    display: grid;
    border: 1.5px solid var(--ink);
    border-radius: 4px;
    overflow: clip;
  }
  .sides label {
    position: relative;
    cursor: pointer;
  }
  .sides label + label {
    border-top: 1px solid var(--rule-strong);
  }
  .sides input {
    position: absolute;
    inset: 0;
    width: 100%;
    height: 100%;
    margin: 0;
    opacity: 0;
    cursor: pointer;
  }
  .sides label > span {
    display: grid;
    grid-template-columns: 1.6rem minmax(0, 1fr);
    align-items: center;
    column-gap: 0.8rem;
    min-height: 2.75rem;
    padding: 0 1rem;
    font-size: 1.077rem;
    font-weight: 600;
  }
  .sides label:hover > span {
    background: var(--well);
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
  .clean input:checked + span {
    background: var(--ink);
    color: var(--sheet);
  }
  .coloured input:checked + span,
  .added input:checked + span {
    background: var(--coloured);
    color: var(--coloured-ink);
  }
  .sides input:checked + span .line {
    border-color: currentColor;
  }
  .sides input:focus-visible + span {
    outline: 2px solid var(--focus);
    outline-offset: -5px;
    box-shadow: inset 0 0 0 5px var(--sheet);
  }
  :host([show='switch']) .sides {
    grid-auto-flow: column;
    grid-auto-columns: 1fr;
  }
  :host([show='switch']) .sides label + label {
    border-top: 0;
    border-left: 1px solid var(--rule-strong);
  }
  :host([show='switch']) .sides label > span {
    grid-template-columns: minmax(0, 1fr);
    justify-items: center;
    align-content: center;
    row-gap: 0.25rem;
    min-height: 2.8rem;
    padding: 0 0.3rem;
    font-size: 1rem;
  }
  :host([show='switch']) .line {
    width: 1.5rem;
  }
  :host {
    position: relative;
  }
  /* At the right of the column's heading: below the switch every line is needed. */
  .trial {
    position: absolute;
    top: -2.1rem;
    right: 0;
    border-color: var(--rule);
    font-size: var(--small);
  }
  :host([show='figures']) .trial {
    position: static;
    width: 100%;
    font-size: inherit;
  }
  .compared summary {
    font-size: var(--small);
  }
  .compared.other > summary {
    margin: 0.4rem -0.5rem 0;
    padding: 0.25rem 0.5rem;
    border-left: 3px solid var(--coloured);
    background: var(--wash);
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
    grid-template-columns: 3.4rem minmax(0, 1fr);
    align-items: center;
    column-gap: 0.5rem;
    min-height: calc(var(--target) + 0.2rem);
  }
  .row select {
    width: 100%;
    padding: 0 0.4rem;
  }
  .compared button {
    width: 100%;
    margin-top: 0.3rem;
  }
  .compared[open] {
    padding-bottom: 0.4rem;
    border-bottom: 1px solid var(--rule);
  }
  .scope {
    padding-top: 0.15rem;
    color: var(--coloured);
    font-size: var(--small);
    text-align: center;
  }
  label.matching {
    display: flex;
    justify-content: space-between;
  }
  label.matching.off {
    margin-inline: -0.5rem;
    padding-inline: 0.5rem;
    border-left: 3px solid var(--warn);
    background: var(--warn-wash);
    color: var(--warn);
  }
  .unmatched {
    padding-top: 0.15rem;
    color: var(--warn);
    font-size: var(--small);
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
    margin: 0.1rem 0 0.25rem;
    font-size: var(--small);
  }
  thead th,
  td {
    text-align: right;
  }
  th[scope='row'],
  thead {
    color: var(--ink-2);
  }
  th,
  td {
    padding: 0.1rem 0;
  }
  tbody td {
    white-space: nowrap;
  }
  tbody tr {
    border-top: 1px solid var(--rule);
  }
  .exact {
    display: inline-block;
    width: 0.8rem;
  }
  p + p,
  .trim {
    margin-top: 0.15rem;
  }
  .trim {
    --label-width: 4.9rem;
    --field-width: 4.4rem;
  }
  @media (forced-colors: active) {
    .sides input:checked + span {
      forced-color-adjust: none;
      background: Highlight;
      color: HighlightText;
    }
  }
`;
