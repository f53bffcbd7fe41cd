import { css } from 'lit';

export const styles = css`
  h2 small {
    margin-left: 0.4rem;
    font-weight: 400;
  }
  text {
    font-size: var(--axis);
    fill: var(--ink-2);
  }
  .grid {
    stroke: var(--grid);
  }
  .zero {
    stroke: var(--clean);
  }
  rect {
    fill: var(--coloured);
  }
`;
