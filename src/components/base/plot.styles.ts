import { css } from 'lit';

/** What the plots below the rack share: a heading with its lines explained, a plot that fills the rest, or its table. */
export const plot = css`
  :host {
    display: flex;
    flex-direction: column;
    min-height: var(--pane-5);
    border-top: 1.5px solid var(--ink);
    padding-top: var(--space-3);
  }
  @media (max-width: 860px) {
    :host {
      min-height: var(--pane-8);
    }
  }
  .heading {
    align-items: center;
    min-height: var(--row-2);
  }
  .tools {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: var(--space-1) var(--space-6);
    font-size: var(--text-small);
    color: var(--ink-2);
  }
  .tools button:not([aria-pressed='true']) {
    border-color: var(--rule);
  }
  .key {
    display: inline-flex;
    align-items: center;
    gap: var(--space-3);
  }
  .key i {
    width: var(--mark-7);
    border-top: 1px solid var(--clean);
  }
  .key span {
    overflow: hidden;
    max-width: var(--pane-3);
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  .key .coloured {
    border-top: 2.25px solid var(--coloured);
  }
  .key .added {
    border-top: 2px dotted var(--coloured);
  }
  .plot {
    position: relative;
    flex: 1;
    min-height: 0;
    margin-top: var(--space-2);
  }
  .plot > * {
    position: absolute;
    inset: 0;
    width: 100%;
    height: 100%;
  }
  .message span {
    padding: var(--space-1) var(--space-4);
    background: var(--sheet);
  }
  .message {
    display: grid;
    place-items: center;
    padding: 0 var(--space-5) var(--space-6) var(--axis);
    text-align: center;
    color: var(--ink-2);
    pointer-events: none;
  }
  .scroll table {
    font-size: var(--text-small);
  }
`;
