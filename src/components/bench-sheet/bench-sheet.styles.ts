import { css } from 'lit';

export const styles = css`
  :host {
    container-type: inline-size;
    min-height: var(--pane-9);
  }
  h2 small {
    margin-left: var(--space-3);
    font-weight: 400;
  }
  h3 {
    font-size: var(--text-small);
    font-weight: 400;
    color: var(--ink-2);
  }
  .bench {
    display: grid;
    flex: 1;
    grid-template: auto minmax(0, 1fr) / var(--pane-7) minmax(0, 1fr) var(--pane-5);
    gap: 0 var(--space-7);
    min-height: 0;
    padding-top: var(--space-1);
  }
  .controls {
    grid-row: 1 / -1;
    --label-width: 10.8ch;
    --field-width: 11.3ch;
  }
  .test {
    display: grid;
    grid-template-columns: auto minmax(0, 1fr);
    align-items: center;
    gap: var(--space-1) var(--space-4);
    margin-bottom: var(--space-3);
  }
  .test p {
    grid-column: 1 / -1;
  }
  select {
    width: 100%;
    padding-block: 0;
  }
  .silent {
    margin-top: var(--space-4);
    padding-top: var(--space-3);
    border-top: 1px solid var(--rule);
  }
  .fault {
    grid-column: 2 / -1;
    align-self: start;
    margin-bottom: var(--space-3);
  }
  .main,
  .figures,
  .waiting {
    grid-row: 2;
    min-width: 0;
    min-height: 0;
  }
  .main {
    display: flex;
    flex-direction: column;
  }
  .waiting {
    color: var(--ink-2);
  }
  .status {
    color: var(--ink-2);
  }
  .status:empty {
    margin-right: calc(-1 * var(--space-6));
  }
  .plot {
    min-height: var(--pane-5);
  }
  .key .mark,
  th .mark {
    width: var(--mark-2);
    height: var(--mark-2);
    border: 1.5px solid var(--odd);
    background: var(--odd);
  }
  .key .mark.even,
  th.even .mark {
    border-color: var(--even);
    background: none;
  }
  th .mark {
    display: inline-block;
    margin-right: var(--space-3);
  }
  .key .cross {
    width: auto;
    border: 0;
    color: var(--warn);
    font-style: normal;
    font-weight: 600;
  }
  .figures th,
  .figures td {
    padding-block: var(--space-1);
  }
  .figures td {
    position: relative;
    text-align: right;
    white-space: nowrap;
    font-weight: 600;
  }
  .figures tr + tr {
    border-top: 1px solid var(--rule);
  }
  sub {
    font-size: var(--text-small);
    line-height: 0;
  }
  .figures p {
    margin-top: var(--space-3);
  }
  .figures .note {
    padding-left: var(--space-3);
    border-left: 2px solid var(--rule-strong);
  }
  .tables {
    display: grid;
    grid-template-columns: minmax(0, 1.7fr) minmax(0, 1fr);
    align-items: start;
    gap: var(--space-7);
    max-height: var(--pane-10);
    overflow: auto;
    font-size: var(--text-small);
  }
  .tables:has(> :only-child) {
    grid-template-columns: minmax(0, var(--pane-8));
  }
  .tables table,
  .scroll table {
    line-height: 1.35;
  }
  .tables thead small {
    display: block;
    font-size: var(--text-small);
    white-space: normal;
  }
  .tables .sum {
    font-weight: 600;
  }
  .tables .one {
    background: var(--well);
    padding-right: var(--space-2);
  }
  @container (max-width: 60rem) {
    .bench {
      grid-template: auto auto minmax(0, 1fr) / var(--pane-7) minmax(0, 1fr);
    }
    .figures {
      grid-row: 3;
      grid-column: 2;
      margin-top: var(--space-4);
    }
    .tables {
      grid-template-columns: minmax(0, 1fr);
    }
  }
  @container (max-width: 44rem) {
    .bench {
      display: flex;
      flex-direction: column;
      gap: var(--space-5);
    }
    .tables {
      max-height: none;
    }
    .plot {
      flex: none;
      height: var(--pane-8);
    }
  }
  @media (forced-colors: active) {
    .key .mark.odd,
    th.odd .mark {
      forced-color-adjust: none;
      background: CanvasText;
      border-color: CanvasText;
    }
  }
`;
