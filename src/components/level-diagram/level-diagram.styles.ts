import { css } from 'lit';

export const styles = css`
  :host {
    position: relative;
  }
  svg {
    display: block;
    overflow: visible;
  }
  path {
    fill: none;
  }
  text {
    font-size: var(--text-small);
    fill: var(--ink-2);
  }
  .grid {
    stroke: var(--grid);
    shape-rendering: crispEdges;
  }
  .grid.zero {
    stroke: var(--rule-strong);
  }
  .edge {
    stroke: var(--rule);
    shape-rendering: crispEdges;
  }
  .area {
    fill: var(--wash);
  }
  .clean {
    stroke: var(--clean);
    stroke-width: 1;
  }
  .coloured {
    stroke: var(--coloured);
    stroke-width: 2.25;
    stroke-linejoin: round;
  }
  .loudness {
    stroke-dasharray: 6 4;
  }
  .clean.loudness {
    stroke-dasharray: 3 3;
  }
  .tick {
    stroke: var(--ink);
    stroke-width: 1.5;
  }
  .tick-name {
    fill: var(--ink);
  }
  circle {
    fill: var(--sheet);
    stroke: var(--coloured);
    stroke-width: 1.75;
  }
  .end {
    fill: var(--coloured);
    font-weight: 600;
    paint-order: stroke;
    stroke: var(--sheet);
    stroke-width: 3px;
    stroke-linejoin: round;
  }
  p {
    position: absolute;
    inset: 0 0 0 var(--axis);
    display: grid;
    place-items: center;
    padding: 0 var(--space-5);
    text-align: center;
    color: var(--ink-2);
  }
`;
