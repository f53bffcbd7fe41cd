import { css } from 'lit';

/** Lists of figures (`dl div`): a quiet name, its figure at the right, a thin rule between the rows. */
export const figureList = css`
  dl {
    margin: 0;
  }
  dl div {
    display: flex;
    gap: 0 var(--space-2);
    justify-content: space-between;
    padding: var(--space-1) 0;
  }
  dl div + div {
    border-top: 1px solid var(--rule);
  }
  dt {
    color: var(--ink-2);
  }
  dd {
    margin: 0;
    text-align: right;
  }
`;
