import { css } from 'lit';

export const styles = css`
  section {
    border-top: 1.5px solid var(--ink);
    padding-top: var(--space-3);
  }
  table {
    margin-top: var(--space-1);
  }
  thead th {
    vertical-align: baseline;
  }
  thead th span {
    display: block;
    overflow: hidden;
    max-width: 7ch;
    margin-left: auto;
    text-overflow: ellipsis;
  }
  thead th {
    white-space: nowrap;
  }
  thead th:not(:first-child),
  tbody td {
    padding-left: var(--space-2);
  }
  tbody th,
  tbody td {
    padding-block: var(--space-1);
  }
  /* In a wide font a long name takes two lines. */
  tbody th {
    text-wrap: balance;
  }
  tbody td:nth-child(2) {
    color: var(--clean);
  }
  tbody td:nth-child(3) {
    color: var(--coloured);
    font-weight: 600;
  }
  .heading small {
    padding-bottom: var(--space-1);
  }
  .working {
    background: linear-gradient(var(--coloured), var(--coloured)) 0 100% / calc(100% * var(--done)) 2px no-repeat;
  }
  .failed {
    color: var(--fault);
  }
`;
