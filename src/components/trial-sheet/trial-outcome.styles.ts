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
  dl div {
    column-gap: var(--space-5);
    padding-block: var(--space-2);
  }
  dl .callout {
    margin-inline: calc(-1 * var(--space-3));
    padding-inline: var(--space-3);
  }
  dt {
    color: inherit;
  }
  dt small {
    display: block;
    line-height: 1.25;
  }
  dd {
    flex: none;
    font-weight: 600;
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
  /* Most of what stands there are words. */
  :is(.log, .draws) :is(th, td) {
    padding: var(--space-1) var(--space-5) var(--space-1) 0;
    text-align: left;
    white-space: nowrap;
  }
  .draws td {
    white-space: normal;
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
