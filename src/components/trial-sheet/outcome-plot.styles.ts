import { css } from 'lit';

export const styles = css`
  :host {
    padding-top: var(--space-3);
    border-top: 1.5px solid var(--ink);
  }
  .heading {
    align-items: center;
    min-height: var(--row-2);
    margin-bottom: var(--space-2);
  }
  .heading button:not([aria-pressed='true']) {
    border-color: var(--rule);
  }
  svg {
    display: block;
    max-width: 100%;
  }
  text {
    fill: var(--ink-2);
    font-size: var(--text-small);
  }
  .name {
    fill: var(--ink);
    stroke: var(--sheet);
    stroke-width: 3px;
    paint-order: stroke;
  }
  .title {
    font-size: var(--text-small);
  }
  path {
    fill: none;
  }
  .grid {
    stroke: var(--grid);
  }
  .even {
    stroke: var(--rule-strong);
    stroke-dasharray: 3 3;
  }
  .interval {
    fill: var(--wash);
  }
  .interval.faint {
    fill: none;
    stroke: var(--rule-strong);
    stroke-dasharray: 2 4;
  }
  .peak {
    fill: var(--clean);
  }
  .band {
    fill: var(--wash-strong);
  }
  .curve {
    stroke: var(--coloured);
    stroke-width: 2.75;
    stroke-linejoin: round;
  }
  .best {
    stroke: var(--ink);
    stroke-width: 1.5;
  }
  .answer path {
    stroke: var(--rule-strong);
  }
  rect.clean,
  .other {
    fill: var(--sheet);
    stroke: var(--ink);
    stroke-width: 1.25;
  }
  .chosen {
    fill: var(--ink);
  }
  .error {
    stroke: var(--ink);
    stroke-width: 1.75;
  }
  /* It scrolls by itself, so its heads stay. */
  .table thead th {
    position: sticky;
    top: 0;
    background: var(--sheet);
  }
  .table {
    max-height: var(--pane-10);
    overflow: auto;
  }
  @media (forced-colors: active) {
    .interval,
    .band {
      fill: none;
      stroke: GrayText;
    }
  }
`;
