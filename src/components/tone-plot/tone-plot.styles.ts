import { css } from 'lit';

export const styles = css`
  h2 small {
    margin-left: var(--space-3);
    font-weight: 400;
  }
  text {
    font-size: var(--text-small);
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
