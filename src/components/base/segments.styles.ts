import { css } from 'lit';

/**
 * One of a few, side by side: `.segments` holds labels, each a native radio laid over the span that shows it.
 * `.large` is for the choice a sheet is about.
 */
export const segments = css`
  .segments {
    display: grid;
    grid-auto-flow: column;
    grid-auto-columns: minmax(0, 1fr);
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
    overflow: clip;
  }
  .segments label {
    position: relative;
    display: grid;
    cursor: pointer;
  }
  .segments label + label {
    border-left: 1px solid var(--rule-strong);
  }
  .segments input {
    position: absolute;
    inset: 0;
    width: 100%;
    height: 100%;
    margin: 0;
    opacity: 0;
    cursor: pointer;
  }
  .segments input + span {
    display: grid;
    place-items: center;
    min-height: calc(var(--target) - 2px);
    padding: 0 var(--space-2);
  }
  .segments label:hover span {
    background: var(--well);
  }
  .segments input:checked + span {
    background: var(--clean);
    color: var(--sheet);
  }
  .segments input:checked + span small {
    color: inherit;
  }
  .segments input:disabled {
    cursor: default;
  }
  .segments input:disabled + span {
    background: none;
    color: var(--ink-2);
  }
  .segments input:disabled:checked + span {
    background: var(--rule);
    color: var(--ink);
  }
  .segments input:focus-visible + span {
    outline: 2px solid var(--focus);
    outline-offset: -2px;
  }
  .segments.large {
    border: 1.5px solid var(--ink);
  }
  .segments.large input + span {
    min-height: var(--target-main);
    padding: 0 var(--space-5);
  }
  .segments.large input:checked + span {
    background: var(--ink);
  }
  /* Within the filled field the ring needs paper round it. */
  .segments.large input:focus-visible + span {
    outline-offset: -5px;
    box-shadow: inset 0 0 0 5px var(--sheet);
  }
  @media (forced-colors: active) {
    .segments input:checked + span,
    .segments.large input:checked + span {
      forced-color-adjust: none;
      background: Highlight;
      color: HighlightText;
    }
    .segments input:disabled:checked + span {
      background: GrayText;
      color: Canvas;
    }
  }
`;
