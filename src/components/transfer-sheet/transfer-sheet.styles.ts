import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: 56rem;
  }
  .content {
    padding: 1.1rem 1.4rem 1.3rem;
  }
  .heading {
    align-items: center;
    margin-bottom: 0.7rem;
  }
  h2 {
    font-size: 1.25rem;
  }
  h2 small {
    margin-left: 0.3rem;
    font-weight: 400;
  }
  .tools {
    display: flex;
    gap: 0.5rem;
  }
  .tools .quiet:not([aria-pressed='true']) {
    border-color: var(--rule);
  }
  .body {
    display: grid;
    grid-template-columns: minmax(0, 1fr) 15rem;
    gap: 1.6rem;
  }
  .plot {
    aspect-ratio: 1;
    max-height: calc(100dvh - 8rem);
  }
  svg {
    display: block;
    width: 100%;
    height: 100%;
  }
  text {
    fill: var(--ink-2);
    font-size: var(--axis);
  }
  .mark {
    fill: var(--ink);
  }
  path {
    fill: none;
  }
  .grid {
    stroke: var(--grid);
  }
  .axes {
    stroke: var(--rule-strong);
  }
  .loop {
    fill: none;
    stroke: var(--ink);
    stroke-width: 1;
  }
  .histogram {
    fill: var(--wash-strong);
  }
  .straight {
    stroke: var(--clean);
  }
  .alignment {
    stroke: var(--ink-2);
    stroke-dasharray: 3 3;
  }
  .tick {
    stroke: var(--ink);
    stroke-width: 1.5;
  }
  .curve {
    stroke: var(--coloured);
    stroke-width: 2.75;
    stroke-linejoin: round;
  }
  dl {
    margin: 0.9rem 0;
  }
  dl div {
    display: flex;
    justify-content: space-between;
    padding: 0.22rem 0;
    border-top: 1px solid var(--rule);
  }
  dd {
    margin: 0;
    font-weight: 600;
  }
  .key {
    display: grid;
    gap: 0.2rem;
    margin: 0 0 0.8rem;
    padding: 0;
    color: var(--ink-2);
    font-size: var(--small);
    list-style: none;
  }
  .key li {
    display: grid;
    grid-template-columns: 1.5rem minmax(0, 1fr);
    align-items: center;
    gap: 0.5rem;
  }
  .key i {
    border-top: 1px solid var(--clean);
  }
  .key .coloured {
    border-top: 2.5px solid var(--coloured);
  }
  .key .programme {
    height: 0.7rem;
    border: 0;
    background: var(--wash-strong);
  }
  .table {
    min-height: 20rem;
  }
  .table th,
  .table td {
    padding: 0.22rem 0;
    text-align: right;
  }
  thead th {
    color: var(--ink-2);
    font-size: var(--small);
  }
  tbody tr {
    border-top: 1px solid var(--rule);
  }
  @media (max-width: 860px) {
    .content {
      padding: 0.9rem;
    }
    .body {
      grid-template-columns: minmax(0, 1fr);
      gap: 0.9rem;
    }
    .plot {
      max-height: none;
    }
  }
  @media (forced-colors: active) {
    .histogram,
    .key .programme {
      forced-color-adjust: none;
      fill: none;
      stroke: GrayText;
      outline: 1px solid GrayText;
    }
  }
`;
