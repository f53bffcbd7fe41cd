import { css } from 'lit';

export const styles = css`
  :host {
    display: block;
    aspect-ratio: 1;
  }
  svg {
    display: block;
    width: 100%;
    height: 100%;
    background: var(--well);
    outline: 1px solid var(--rule);
    outline-offset: -1px;
  }
  path {
    fill: none;
    vector-effect: non-scaling-stroke;
  }
  .axes {
    stroke: var(--rule);
  }
  .histogram {
    fill: var(--wash-strong);
  }
  .straight {
    stroke: var(--clean);
    stroke-width: 1;
  }
  .tick {
    stroke: var(--ink);
    stroke-width: 1.5;
  }
  .curve {
    stroke: var(--coloured);
    stroke-width: 2.25;
    stroke-linejoin: round;
  }
  .loop {
    stroke: var(--ink);
    stroke-width: 1;
  }
  @media (forced-colors: active) {
    .histogram {
      stroke: GrayText;
    }
  }
`;
