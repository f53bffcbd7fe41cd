import { css } from 'lit';

export const styles = css`
  :host {
    display: block;
  }
  svg {
    display: block;
    max-width: 100%;
    margin-inline: auto;
    overflow: visible;
  }
  path,
  circle,
  rect {
    fill: none;
    stroke: var(--ink-2);
    stroke-width: 1.2;
  }
  .plates {
    stroke: var(--ink);
    stroke-width: 2;
  }
  .grid {
    stroke-dasharray: 4 3;
  }
  .joint {
    fill: var(--ink-2);
  }
  text {
    fill: var(--ink-2);
    font-size: var(--text-small);
  }
  .value {
    fill: var(--ink);
    font-weight: 600;
  }
`;
