import { css } from 'lit';

export const styles = css`
  :host {
    display: flex;
    flex-direction: column;
    justify-content: space-between;
    gap: var(--space-1);
    min-height: var(--pane-2);
  }
  ul {
    margin: 0;
    padding: 0;
    list-style: none;
  }
  li {
    display: grid;
    grid-template-columns: var(--mark-2) 2.6ch minmax(0, 1fr) 5ch;
    align-items: center;
    column-gap: var(--space-2);
    line-height: 1.2;
    font-size: var(--text-small);
  }
  .mark {
    width: var(--mark-2);
    height: var(--mark-2);
    border: 1.5px solid var(--odd);
    background: var(--odd);
  }
  .even .mark {
    border-color: var(--even);
    background: none;
  }
  .bar {
    height: var(--mark-1);
    border-left: 1px solid var(--rule-strong);
  }
  .bar::before {
    content: '';
    display: block;
    width: calc(100% * var(--share));
    height: 100%;
    border: 1px solid var(--odd);
    border-left: 0;
    background: var(--odd);
  }
  .even .bar::before {
    border-color: var(--even);
    background: none;
  }
  .bar.none::before {
    display: none;
  }
  b {
    font-weight: 600;
    text-align: right;
  }
  p {
    display: flex;
    flex-wrap: wrap;
    align-items: baseline;
    gap: 0 var(--space-3);
    font-size: var(--text-small);
    line-height: 1.25;
  }
  .unbiased {
    min-height: 1.25em;
  }
  @media (forced-colors: active) {
    .odd .mark,
    .odd .bar::before {
      forced-color-adjust: none;
      background: CanvasText;
      border-color: CanvasText;
    }
  }
`;
