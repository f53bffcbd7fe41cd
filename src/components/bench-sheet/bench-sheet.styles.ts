import { css } from 'lit';

export const styles = css`
  :host {
    container-type: inline-size;
    min-height: 26rem;
  }
  h2 small {
    margin-left: 0.4rem;
    font-weight: 400;
  }
  h3 {
    font-size: var(--small);
    font-weight: 400;
    color: var(--ink-2);
  }
  .bench {
    display: grid;
    flex: 1;
    grid-template: auto minmax(0, 1fr) / 17.5rem minmax(0, 1fr) 15rem;
    gap: 0 1.8rem;
    min-height: 0;
    padding-top: 0.2rem;
  }
  .controls {
    grid-row: 1 / -1;
    --label-width: 6rem;
    --field-width: 6.3rem;
  }
  .test {
    display: grid;
    grid-template-columns: auto minmax(0, 1fr);
    align-items: center;
    gap: 0.15rem 0.6rem;
    margin-bottom: 0.4rem;
  }
  .test p {
    grid-column: 1 / -1;
  }
  select {
    width: 100%;
    padding-block: 0;
  }
  .silent {
    margin-top: 0.7rem;
    padding-top: 0.4rem;
    border-top: 1px solid var(--rule);
  }
  .fault {
    grid-column: 2 / -1;
    align-self: start;
    margin-bottom: 0.5rem;
    padding: 0.35rem 0.6rem;
    border-left: 2px solid var(--fault);
    background: var(--fault-wash);
    color: var(--fault);
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
    margin-right: -1.1rem;
  }
  .plot {
    min-height: 16rem;
  }
  svg {
    display: block;
  }
  text {
    font-size: var(--axis);
    fill: var(--ink-2);
  }
  .percent {
    fill: var(--ink-2);
    opacity: 0.85;
  }
  .name {
    fill: var(--ink);
  }
  path,
  rect,
  circle {
    vector-effect: non-scaling-stroke;
  }
  svg path {
    fill: none;
  }
  .grid {
    stroke: var(--grid);
  }
  .noise {
    stroke: var(--ink-2);
    stroke-dasharray: 2 3;
  }
  svg .tone path {
    stroke: var(--clean);
  }
  svg .tone circle {
    fill: var(--clean);
  }
  svg .odd path,
  svg .odd rect {
    stroke: var(--odd);
    stroke-width: 1.5;
  }
  svg .odd rect {
    fill: var(--odd);
  }
  svg .even path,
  svg .even rect {
    stroke: var(--even);
    stroke-width: 1.5;
  }
  svg .even rect {
    fill: var(--sheet);
  }
  svg .alias path {
    stroke: var(--warn);
    stroke-width: 1.5;
  }
  svg .thd path {
    stroke: var(--coloured);
    stroke-width: 2.75;
    stroke-linejoin: round;
  }
  text.odd {
    fill: var(--odd);
  }
  text.even {
    fill: var(--even);
  }
  text.thd {
    fill: var(--coloured);
    font-weight: 600;
  }
  .key .mark,
  th .mark {
    width: 0.6rem;
    height: 0.6rem;
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
    margin-right: 0.45rem;
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
    padding-block: 0.19rem;
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
    font-size: 0.8em;
    line-height: 0;
  }
  .figures p {
    margin-top: 0.5rem;
  }
  .figures .note {
    padding-left: 0.5rem;
    border-left: 2px solid var(--rule-strong);
  }
  .tables {
    display: grid;
    grid-template-columns: minmax(0, 1.7fr) minmax(0, 1fr);
    align-items: start;
    gap: 1.6rem;
    max-height: 32rem;
    overflow: auto;
    font-size: var(--small);
  }
  .tables:has(> :only-child) {
    grid-template-columns: minmax(0, 22rem);
  }
  .tables table,
  .scroll table {
    line-height: 1.35;
  }
  caption {
    padding-bottom: 0.2rem;
    color: var(--ink-2);
    text-align: left;
  }
  .tables th,
  .tables td {
    padding: 0.15rem 0 0.15rem 0.6rem;
    text-align: right;
    white-space: nowrap;
  }
  .tables th:first-child,
  .scroll th:first-child {
    padding-left: 0;
    text-align: left;
  }
  .tables thead th {
    vertical-align: bottom;
    color: var(--ink-2);
  }
  .tables thead small {
    display: block;
    font-size: var(--axis);
    white-space: normal;
  }
  .tables tbody tr {
    border-top: 1px solid var(--rule);
  }
  .tables .sum {
    font-weight: 600;
  }
  .tables .one {
    background: var(--well);
    padding-right: 0.3rem;
  }
  @container (max-width: 62rem) {
    .bench {
      grid-template: auto auto minmax(0, 1fr) / 17.5rem minmax(0, 1fr);
    }
    .figures {
      grid-row: 3;
      grid-column: 2;
      margin-top: 0.6rem;
    }
    .tables {
      grid-template-columns: minmax(0, 1fr);
    }
  }
  @container (max-width: 44rem) {
    .bench {
      display: flex;
      flex-direction: column;
      gap: 0.8rem;
    }
    .tables {
      max-height: none;
    }
    .plot {
      flex: none;
      height: 20rem;
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
