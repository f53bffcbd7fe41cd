import { css } from 'lit';

/** What `linePlot` and `sweepPlot` draw: grid, names, odd orders filled, even ones outlined. */
export const chart = css`
  svg {
    display: block;
  }
  text {
    font-size: var(--text-small);
    fill: var(--ink-2);
  }
  .percent {
    fill: var(--ink-2);
    opacity: 0.85;
  }
  .name {
    fill: var(--ink);
  }
  path,
  rect,
  circle {
    vector-effect: non-scaling-stroke;
  }
  svg path {
    fill: none;
  }
  .grid {
    stroke: var(--grid);
  }
  .noise {
    stroke: var(--ink-2);
    stroke-dasharray: 2 3;
  }
  svg .tone path {
    stroke: var(--clean);
  }
  svg .tone circle {
    fill: var(--clean);
  }
  svg .odd path,
  svg .odd rect {
    stroke: var(--odd);
    stroke-width: 1.5;
  }
  svg .odd rect {
    fill: var(--odd);
  }
  svg .even path,
  svg .even rect {
    stroke: var(--even);
    stroke-width: 1.5;
  }
  svg .even rect {
    fill: var(--sheet);
  }
  svg .alias path {
    stroke: var(--warn);
    stroke-width: 1.5;
  }
  svg .thd path {
    stroke: var(--coloured);
    stroke-width: 2.75;
    stroke-linejoin: round;
  }
  text.odd {
    fill: var(--odd);
  }
  text.even {
    fill: var(--even);
  }
  text.thd {
    fill: var(--coloured);
    font-weight: 600;
  }
`;
