import { css } from 'lit';

export const styles = css`
  :host {
    display: grid;
    grid-template-columns: minmax(0, 1fr);
    gap: var(--space-5);
  }
  .subject {
    margin-bottom: calc(-1 * var(--space-4));
    padding-top: var(--space-3);
    border-top: 1.5px solid var(--ink);
    color: var(--ink-2);
  }
  .sentence {
    max-width: var(--pane-12);
    font-size: var(--text-display);
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
    gap: var(--space-3);
    margin: var(--space-3) 0 var(--space-4);
  }
  .actions button {
    min-height: var(--row-3);
  }
  .columns {
    display: grid;
    grid-template-columns: minmax(0, 1.5fr) minmax(0, 1fr);
    gap: var(--space-6) var(--space-7);
    align-items: start;
  }
  .columns > div {
    display: grid;
    gap: var(--space-6);
    min-width: 0;
  }
  section {
    min-width: 0;
    padding-top: var(--space-3);
    border-top: 1.5px solid var(--ink);
  }
  h2 {
    margin-bottom: var(--space-2);
  }
  dl {
    margin: 0;
  }
  dl div {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    gap: 0 var(--space-5);
    padding: var(--space-2) 0;
    border-top: 1px solid var(--rule);
  }
  dl .warns {
    margin-inline: calc(-1 * var(--space-3));
    padding-inline: var(--space-3);
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
    padding-left: var(--space-6);
  }
  li + li {
    margin-top: var(--space-2);
  }
  li::marker {
    color: var(--ink-2);
  }
  .scroll {
    max-height: var(--pane-10);
    overflow: auto;
  }
  .wins {
    margin-top: var(--space-4);
    font-size: var(--text-small);
  }
  caption {
    padding-bottom: var(--space-1);
    color: var(--ink-2);
    text-align: left;
  }
  .scroll th,
  .scroll td {
    padding: var(--space-1) var(--space-5) var(--space-1) 0;
    text-align: left;
    vertical-align: baseline;
  }
  .log :is(th, td) {
    white-space: nowrap;
  }
  .scroll thead th {
    color: var(--ink-2);
    font-size: var(--text-small);
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
      font-size: var(--text-title);
    }
    .actions button {
      flex: 1 0 auto;
    }
  }
`;
