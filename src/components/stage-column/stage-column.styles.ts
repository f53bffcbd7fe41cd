import { css } from 'lit';

export const styles = css`
  :host {
    container-type: inline-size;
  }
  section {
    display: flex;
    flex-direction: column;
    height: 100%;
    padding: 0.55rem var(--column-padding, 0.85rem) 0.45rem;
  }
  header {
    display: flex;
    align-items: center;
    justify-content: space-between;
    gap: 0.5rem;
  }
  h3 {
    overflow: hidden;
    font-size: 1.077rem;
    font-weight: 600;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  .number {
    margin-right: 0.25rem;
    color: var(--ink-2);
    font-weight: 400;
  }
  .state {
    color: var(--ink-2);
    font-size: var(--small);
  }
  .face {
    display: grid;
    grid-template-columns: 7.4rem minmax(0, 1fr);
    gap: 0.8rem;
    align-items: start;
    margin: 0.35rem 0 0.45rem;
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
    column-gap: 2rem;
  }
  section > .controls {
    --label-width: 4rem;
  }
  details .controls {
    --label-width: 5.2rem;
  }
  .in-effect {
    margin: -0.1rem 0 0.15rem;
    text-align: right;
    color: var(--coloured);
    font-size: var(--small);
    font-variant-numeric: tabular-nums;
    line-height: 1.3;
  }
  .in-effect small {
    color: var(--ink-2);
  }
  .linked {
    display: flex;
    align-items: center;
    gap: 0.35rem;
    max-width: 100%;
    margin: -0.15rem 0 0.1rem -0.45rem;
    font-size: var(--small);
  }
  .linked svg {
    flex: none;
    width: 0.85rem;
    height: 0.85rem;
  }
  .with {
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  .unknown {
    margin: 0.5rem 0;
    color: var(--ink-2);
  }
  footer {
    position: relative;
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    align-items: start;
    margin-top: auto;
    padding-top: 0.2rem;
  }
  details[open] {
    grid-column: 1 / -1;
    grid-row: 1;
  }
  summary {
    display: inline-flex;
    padding-right: 0.6rem;
  }
  summary small {
    margin-left: 0.4rem;
  }
  .order {
    grid-column: 2;
    grid-row: 1;
    display: flex;
    margin-right: -0.4rem;
    color: var(--ink-2);
  }
  @container (min-width: 31rem) {
    .controls {
      grid-template-columns: repeat(2, minmax(0, 1fr));
    }
    .face {
      grid-template-columns: 7.4rem minmax(0, 18rem);
    }
  }
`;
