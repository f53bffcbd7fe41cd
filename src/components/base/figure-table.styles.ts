import { css } from 'lit';

/**
 * Tables of figures: names at the left, figures at the right under quiet heads, a thin rule above each row. In
 * `.scroll` the heads stay in sight.
 */
export const figureTable = css`
  caption {
    padding-bottom: var(--space-1);
    color: var(--ink-2);
    text-align: left;
  }
  th,
  td {
    padding: var(--space-1) 0 var(--space-1) var(--space-4);
    text-align: right;
  }
  td {
    white-space: nowrap;
  }
  th:first-child,
  td:first-child {
    padding-left: 0;
    text-align: left;
  }
  thead th {
    color: var(--ink-2);
    font-size: var(--text-small);
    vertical-align: bottom;
  }
  tbody tr,
  tfoot tr {
    border-top: 1px solid var(--rule);
  }
  .scroll {
    overflow-y: auto;
  }
  .scroll thead th {
    position: sticky;
    top: 0;
    background: var(--sheet);
  }
`;
