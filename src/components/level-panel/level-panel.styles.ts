import { css } from 'lit';

export const styles = css`
  :host {
    container-type: inline-size;
    font-size: var(--text-small);
  }
  table {
    line-height: 1.3;
  }
  th,
  td {
    position: relative;
    padding: 0 0 0 var(--space-2);
  }
  thead td,
  thead th {
    vertical-align: middle;
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
    width: var(--mark-7);
    border-top: 1px solid var(--clean);
    vertical-align: middle;
  }
  thead .coloured {
    border-top: 2.25px solid var(--coloured);
  }
  button.quiet {
    margin-left: calc(-1 * var(--space-3));
    color: var(--ink-2);
    font-size: var(--text-small);
  }
  .former {
    color: var(--ink-2);
    font-style: italic;
  }
  tbody th {
    white-space: nowrap;
  }
  small {
    font-size: var(--text-small);
  }
  td {
    position: relative;
  }
  thead td {
    padding: 0;
    text-align: left;
  }
  tbody td {
    overflow: clip;
  }
  tbody td:nth-child(2) {
    color: var(--clean);
  }
  tbody td:nth-child(3) {
    padding-right: var(--space-1);
    color: var(--coloured);
    font-weight: 600;
  }
  h4 {
    margin: 0;
    font-size: var(--text-small);
    font-weight: 600;
  }
  dl {
    margin: var(--space-1) 0 0;
  }
  /* In the one column of a narrow screen there is room for the sides' names. */
  @container (min-width: 16rem) {
    thead th span {
      position: static;
      width: auto;
      height: auto;
      clip-path: none;
      max-width: var(--pane-1);
      margin-left: var(--space-3);
      text-overflow: ellipsis;
      white-space: nowrap;
    }
    tbody th,
    tbody td {
      padding-block: var(--space-1);
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
