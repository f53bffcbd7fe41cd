import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: var(--pane-12);
  }
  .content {
    padding: var(--space-6) var(--space-6) var(--space-6);
  }
  .heading {
    align-items: center;
    margin-bottom: var(--space-4);
  }
  h2 {
    font-size: var(--text-title);
  }
  h2 small {
    margin-left: var(--space-2);
    font-weight: 400;
  }
  .tools {
    display: flex;
    gap: var(--space-3);
  }
  .tools .quiet:not([aria-pressed='true']) {
    border-color: var(--rule);
  }
  .body {
    display: grid;
    grid-template-columns: minmax(0, 1fr) var(--pane-5);
    gap: var(--space-7);
  }
  .plot {
    aspect-ratio: 1;
    max-height: calc(100dvh - var(--pane-2));
  }
  svg {
    display: block;
    width: 100%;
    height: 100%;
  }
  text {
    fill: var(--ink-2);
    font-size: var(--text-small);
  }
  .mark {
    fill: var(--ink);
  }
  path {
    fill: none;
  }
  .grid {
    stroke: var(--grid);
  }
  .axes {
    stroke: var(--rule-strong);
  }
  .loop {
    fill: none;
    stroke: var(--ink);
    stroke-width: 1;
  }
  .histogram {
    fill: var(--wash-strong);
  }
  .straight {
    stroke: var(--clean);
  }
  .alignment {
    stroke: var(--ink-2);
    stroke-dasharray: 3 3;
  }
  .tick {
    stroke: var(--ink);
    stroke-width: 1.5;
  }
  .curve {
    stroke: var(--coloured);
    stroke-width: 2.75;
    stroke-linejoin: round;
  }
  dl {
    margin: var(--space-5) 0;
  }
  dd {
    font-weight: 600;
  }
  .key {
    display: grid;
    gap: var(--space-1);
    margin: 0 0 var(--space-5);
    padding: 0;
    color: var(--ink-2);
    font-size: var(--text-small);
    list-style: none;
  }
  .key li {
    display: grid;
    grid-template-columns: var(--row-1) minmax(0, 1fr);
    align-items: center;
    gap: var(--space-3);
  }
  .key i {
    border-top: 1px solid var(--clean);
  }
  .key .coloured {
    border-top: 2.5px solid var(--coloured);
  }
  .key .programme {
    height: var(--mark-3);
    border: 0;
    background: var(--wash-strong);
  }
  .table {
    min-height: var(--pane-8);
  }
  @media (max-width: 860px) {
    .content {
      padding: var(--space-5);
    }
    .body {
      grid-template-columns: minmax(0, 1fr);
      gap: var(--space-5);
    }
    .plot {
      max-height: none;
    }
  }
  @media (forced-colors: active) {
    .histogram,
    .key .programme {
      forced-color-adjust: none;
      fill: none;
      stroke: GrayText;
      outline: 1px solid GrayText;
    }
  }
`;
