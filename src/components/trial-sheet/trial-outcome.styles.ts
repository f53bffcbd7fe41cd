import { css } from 'lit';

export const styles = css`
  :host {
    display: grid;
    grid-template-columns: minmax(0, 1fr);
    gap: 0.8rem;
  }
  .subject {
    margin-bottom: -0.6rem;
    padding-top: 0.45rem;
    border-top: 1.5px solid var(--ink);
    color: var(--ink-2);
  }
  .sentence {
    max-width: 50rem;
    font-size: 1.6rem;
    line-height: 1.3;
    letter-spacing: -0.01em;
  }
  .sentence:focus {
    outline: none;
  }
  .actions {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: 0.5rem;
    margin: 0.4rem 0 0.6rem;
  }
  .actions button {
    min-height: 2.3rem;
  }
  .actions .main:not([aria-disabled='true']) {
    border-color: var(--ink);
    background: var(--ink);
    color: var(--sheet);
    font-weight: 600;
  }
  .actions .main[aria-disabled='true'] {
    border-color: var(--rule);
    color: var(--ink-2);
    cursor: default;
  }
  .actions .main:hover:not([aria-disabled='true']) {
    background: var(--clean);
  }
  .columns {
    display: grid;
    grid-template-columns: minmax(0, 1.5fr) minmax(0, 1fr);
    gap: 1.2rem 2.2rem;
    align-items: start;
  }
  .columns > div {
    display: grid;
    gap: 1.2rem;
    min-width: 0;
  }
  section {
    min-width: 0;
    padding-top: 0.45rem;
    border-top: 1.5px solid var(--ink);
  }
  h2 {
    margin-bottom: 0.35rem;
  }
  dl {
    margin: 0;
  }
  dl div {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    gap: 0 1rem;
    padding: 0.28rem 0;
    border-top: 1px solid var(--rule);
  }
  dl .warns {
    margin-inline: -0.5rem;
    padding-inline: 0.5rem;
    border-left: 3px solid var(--warn);
    background: var(--warn-wash);
  }
  dt small {
    display: block;
    line-height: 1.25;
  }
  dd {
    margin: 0;
    font-weight: 600;
    text-align: right;
  }
  ul {
    margin: 0;
    padding-left: 1.1rem;
  }
  li + li {
    margin-top: 0.3rem;
  }
  li::marker {
    color: var(--ink-2);
  }
  .scroll {
    max-height: 32rem;
    overflow: auto;
  }
  .wins {
    margin-top: 0.6rem;
    font-size: var(--small);
  }
  caption {
    padding-bottom: 0.2rem;
    color: var(--ink-2);
    text-align: left;
  }
  .scroll th,
  .scroll td {
    padding: 0.2rem 0.9rem 0.2rem 0;
    text-align: left;
    vertical-align: baseline;
  }
  .log :is(th, td) {
    white-space: nowrap;
  }
  .scroll thead th {
    color: var(--ink-2);
    font-size: var(--small);
    white-space: nowrap;
  }
  .scroll tbody tr {
    border-top: 1px solid var(--rule);
  }
  .wins td,
  .wins thead th {
    text-align: right;
  }
  .discarded,
  .training,
  .catch {
    color: var(--ink-2);
  }
  .draws {
    width: auto;
  }
  @media (max-width: 860px) {
    .columns {
      grid-template-columns: minmax(0, 1fr);
    }
    .sentence {
      font-size: 1.3rem;
    }
    .actions button {
      flex: 1 0 auto;
    }
  }
  @media (forced-colors: active) {
    .actions .main:not([aria-disabled='true']) {
      forced-color-adjust: none;
      background: Highlight;
      color: HighlightText;
    }
  }
`;
