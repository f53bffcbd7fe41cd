import { css } from 'lit';

export const styles = css`
  table {
    table-layout: fixed;
    font-size: var(--text-small);
  }
  thead th,
  td {
    width: 5.6ch;
    padding-left: 0;
    white-space: nowrap;
  }
  thead th:last-child,
  td:last-child {
    width: 7.5ch;
  }
  .missed {
    color: var(--warn);
    font-weight: bold;
  }
  p.missed {
    font-weight: inherit;
  }
  tbody th button {
    overflow: hidden;
    width: 100%;
    padding-inline: 0;
    text-align: left;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
`;
