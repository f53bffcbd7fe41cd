import { css } from 'lit';

/** What every element of the sheet shares: boxes, headings, buttons, switches, focus, and text for screen readers. */
export const base = css`
  *,
  *::before,
  *::after {
    box-sizing: border-box;
  }
  :host {
    display: block;
    min-width: 0;
    color: var(--ink);
  }
  :host([hidden]),
  [hidden] {
    display: none;
  }
  h2,
  h3,
  p {
    margin: 0;
  }
  h2 {
    font-size: var(--text-body);
    font-weight: 600;
    letter-spacing: 0.005em;
  }
  small,
  .small {
    font-size: var(--text-small);
    color: var(--ink-2);
  }
  .heading {
    display: flex;
    flex-wrap: wrap;
    align-items: baseline;
    justify-content: space-between;
    gap: var(--space-1) var(--space-5);
  }
  button,
  select,
  input {
    font: inherit;
    color: inherit;
    font-variant-numeric: inherit;
  }
  button,
  select {
    min-height: var(--target);
    padding: var(--space-1) var(--space-4);
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
    background: var(--sheet);
    cursor: pointer;
  }
  button:hover:not(:disabled),
  select:hover:not(:disabled) {
    border-color: var(--ink);
    background: var(--well);
  }
  button:disabled,
  select:disabled {
    color: var(--ink-2);
    border-color: var(--rule);
    cursor: default;
  }
  button.quiet {
    border-color: transparent;
    background: none;
    padding-inline: var(--space-3);
  }
  button.quiet:hover:not(:disabled) {
    border-color: var(--rule-strong);
  }
  button.icon {
    display: inline-grid;
    place-items: center;
    min-width: var(--target);
    padding: 0;
  }
  button.icon svg {
    width: var(--mark-6);
    height: var(--mark-6);
  }
  button[aria-pressed='true'],
  button[aria-pressed='true']:hover:not(:disabled) {
    background: var(--ink);
    border-color: var(--ink);
    color: var(--sheet);
  }
  /* The one thing a sheet or a question is for. In ink: the iron-red is the coloured side's. */
  button.primary:not(:disabled, [aria-disabled='true']) {
    border-color: var(--ink);
    background: var(--ink);
    color: var(--sheet);
    font-weight: 600;
  }
  button.primary:hover:not(:disabled, [aria-disabled='true']) {
    border-color: var(--clean);
    background: var(--clean);
  }
  button[aria-disabled='true'],
  button[aria-disabled='true']:hover {
    border-color: var(--rule);
    background: var(--sheet);
    color: var(--ink-2);
    cursor: default;
  }
  :focus-visible {
    outline: 2px solid var(--focus);
    outline-offset: 2px;
  }
  /* The signal's line goes through a box, or around it. */
  input[role='switch'] {
    appearance: none;
    flex: none;
    position: relative;
    width: calc(2 * var(--mark-5));
    height: var(--mark-6);
    margin: 0;
    background:
      linear-gradient(var(--ink-2), var(--ink-2)) left / 22% 1.5px no-repeat,
      linear-gradient(var(--ink-2), var(--ink-2)) right / 22% 1.5px no-repeat;
    cursor: pointer;
  }
  input[role='switch']::before,
  input[role='switch']::after {
    content: '';
    position: absolute;
  }
  input[role='switch']::before {
    inset: 34% 33% 8%;
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
  }
  input[role='switch']::after {
    inset: 6% 20% 46%;
    border: solid var(--ink-2);
    border-width: 1.5px 1.5px 0;
  }
  input[role='switch']:checked {
    background: linear-gradient(var(--ink), var(--ink)) center / 100% 2px no-repeat;
  }
  input[role='switch']:checked::before {
    inset: 16% 27%;
    border-color: var(--ink);
    background: var(--ink);
  }
  input[role='switch']:checked::after {
    content: none;
  }
  label.switch {
    display: inline-flex;
    align-items: center;
    gap: var(--space-3);
    min-height: var(--target);
    cursor: pointer;
  }
  .hidden {
    position: absolute;
    width: 1px;
    height: 1px;
    margin: -1px;
    overflow: hidden;
    clip-path: inset(50%);
    white-space: nowrap;
  }
  .stale {
    opacity: 0.7;
  }
  table {
    width: 100%;
    border-collapse: collapse;
  }
  th {
    font-weight: inherit;
    text-align: left;
  }
  @media (prefers-reduced-motion: no-preference) {
    .stale,
    .fresh {
      transition: opacity 160ms ease-out;
    }
  }
  @media (forced-colors: active) {
    input[role='switch'],
    input[role='switch']::before {
      forced-color-adjust: none;
      border-color: CanvasText;
      background: Canvas;
    }
    input[role='switch']:checked {
      background: Highlight;
    }
    button[aria-pressed='true'],
    button.primary:not(:disabled, [aria-disabled='true']) {
      forced-color-adjust: none;
      background: Highlight;
      color: HighlightText;
    }
  }
`;
