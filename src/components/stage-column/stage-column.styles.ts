import { css } from 'lit';

export const styles = css`
  :host {
    container-type: inline-size;
  }
  section {
    display: flex;
    flex-direction: column;
    height: 100%;
    padding: var(--space-4) var(--column-padding, var(--space-5)) var(--space-3);
  }
  header {
    display: flex;
    align-items: center;
    justify-content: space-between;
    gap: var(--space-3);
  }
  h3 {
    overflow: hidden;
    font-size: var(--text-lead);
    font-weight: 600;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  .number {
    margin-right: var(--space-2);
    color: var(--ink-2);
    font-weight: 400;
  }
  .state {
    color: var(--ink-2);
    font-size: var(--text-small);
  }
  .face {
    display: grid;
    grid-template-columns: var(--pane-2) minmax(0, 1fr);
    gap: var(--space-5);
    align-items: start;
    margin: var(--space-2) 0 var(--space-3);
  }
  .curve {
    display: block;
    width: 100%;
    min-height: 0;
    padding: 0;
    border: 0;
    border-radius: 0;
    background: none;
    cursor: zoom-in;
  }
  .curve:hover stage-curve {
    outline: 1px solid var(--ink);
  }
  .off .face,
  .off .controls {
    opacity: 0.5;
  }
  .controls {
    display: grid;
    grid-template-columns: minmax(0, 1fr);
    column-gap: var(--space-7);
  }
  section > .controls {
    --label-width: 7.5ch;
  }
  details .controls {
    --label-width: 9.4ch;
  }
  .in-effect {
    margin: calc(-1 * var(--space-1)) 0 var(--space-1);
    text-align: right;
    color: var(--coloured);
    font-size: var(--text-small);
    font-variant-numeric: tabular-nums;
    line-height: 1.3;
  }
  .in-effect small {
    color: var(--ink-2);
  }
  .linked {
    display: flex;
    align-items: center;
    gap: var(--space-2);
    max-width: 100%;
    margin: calc(-1 * var(--space-1)) 0 var(--space-1) calc(-1 * var(--space-3));
    font-size: var(--text-small);
  }
  .linked svg {
    flex: none;
    width: var(--mark-4);
    height: var(--mark-4);
  }
  .with {
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  .unknown {
    margin: var(--space-3) 0;
    color: var(--ink-2);
  }
  footer {
    position: relative;
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    align-items: start;
    margin-top: auto;
    padding-top: var(--space-1);
  }
  details[open] {
    grid-column: 1 / -1;
    grid-row: 1;
  }
  summary {
    display: inline-flex;
    padding-right: var(--space-4);
  }
  summary small {
    margin-left: var(--space-3);
  }
  .order {
    grid-column: 2;
    grid-row: 1;
    display: flex;
    margin-right: calc(-1 * var(--space-3));
    color: var(--ink-2);
  }
  @container (min-width: 31rem) {
    .controls {
      grid-template-columns: repeat(2, minmax(0, 1fr));
    }
    .face {
      grid-template-columns: var(--pane-2) minmax(0, var(--pane-7));
    }
  }
`;
