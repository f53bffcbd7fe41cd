import { css } from 'lit';

export const styles = css`
  :host {
    font-size: var(--small);
  }
  table {
    line-height: 1.3;
  }
  thead td,
  thead th {
    vertical-align: middle;
  }
  thead th {
    position: relative;
    color: var(--ink-2);
    text-align: right;
  }
  thead th span {
    position: absolute;
    right: 0;
    width: 1px;
    height: 1px;
    overflow: hidden;
    clip-path: inset(50%);
  }
  thead i {
    display: inline-block;
    width: 1.3rem;
    border-top: 1px solid var(--clean);
    vertical-align: middle;
  }
  thead .coloured {
    border-top: 2.25px solid var(--coloured);
  }
  button.quiet {
    margin-left: -0.45rem;
    color: var(--ink-2);
    font-size: var(--small);
  }
  .former {
    color: var(--ink-2);
    font-style: italic;
  }
  tbody tr {
    border-top: 1px solid var(--rule);
  }
  tbody th {
    white-space: nowrap;
  }
  small {
    font-size: var(--axis);
  }
  td {
    position: relative;
    padding: 0;
    text-align: right;
    white-space: nowrap;
  }
  thead td {
    text-align: left;
  }
  tbody td {
    overflow: clip;
  }
  tbody td:nth-child(2) {
    color: var(--clean);
  }
  tbody td:nth-child(3) {
    padding-right: 1px;
    color: var(--coloured);
    font-weight: 600;
  }
  h4 {
    margin: 0;
    font-size: var(--small);
    font-weight: 600;
  }
  dl {
    margin: 0.1rem 0 0;
  }
  dl div {
    display: flex;
    justify-content: space-between;
    padding: 0.12rem 0;
  }
  dl div + div {
    border-top: 1px solid var(--rule);
  }
  dt {
    color: var(--ink-2);
  }
  dd {
    margin: 0;
  }
  @media (max-width: 860px) {
    thead th span {
      position: static;
      width: auto;
      height: auto;
      clip-path: none;
      max-width: 6rem;
      margin-left: 0.4rem;
      text-overflow: ellipsis;
      white-space: nowrap;
    }
    tbody th,
    tbody td {
      padding-block: 0.22rem;
    }
    :host([show='input']) dl {
      display: grid;
      grid-template-columns: repeat(5, auto);
      justify-content: space-between;
    }
    :host([show='input']) dl div {
      display: block;
      border: 0;
    }
  }
`;
