import { css } from 'lit';

export const styles = css`
  section {
    border-top: 1.5px solid var(--ink);
    padding-top: 0.5rem;
  }
  table {
    margin-top: 0.15rem;
  }
  thead th {
    padding-bottom: 0.15rem;
    color: var(--ink-2);
    font-size: var(--small);
  }
  thead th span {
    display: block;
    overflow: hidden;
    max-width: 4.1rem;
    margin-left: auto;
    text-overflow: ellipsis;
  }
  thead th,
  tbody td {
    text-align: right;
    white-space: nowrap;
  }
  thead th:not(:first-child),
  td {
    padding-left: 0.5rem;
  }
  tbody th,
  tbody td {
    padding-block: 0.22rem;
  }
  tbody tr {
    border-top: 1px solid var(--rule);
  }
  tbody th {
    white-space: nowrap;
  }
  tbody td:nth-child(2) {
    color: var(--clean);
  }
  tbody td:nth-child(3) {
    color: var(--coloured);
    font-weight: 600;
  }
  .heading small {
    padding-bottom: 0.1rem;
  }
  .working {
    background: linear-gradient(var(--coloured), var(--coloured)) 0 100% / calc(100% * var(--done)) 2px no-repeat;
  }
  .failed {
    color: var(--fault);
  }
`;
