import { css } from 'lit';

export const styles = css`
  section {
    display: grid;
    grid-template-columns: auto var(--pane-2) minmax(var(--pane-2), 1fr) auto auto;
    align-items: center;
    gap: var(--space-3) var(--space-5);
  }
  .play,
  .mute {
    display: inline-flex;
    align-items: center;
    justify-content: center;
    gap: var(--space-4);
    min-width: var(--pane-1);
    min-height: var(--row-4);
    border: 1.5px solid var(--ink);
    border-radius: var(--radius);
    font-size: var(--text-lead);
    font-weight: 600;
  }
  .play svg,
  .mute svg {
    flex: none;
    width: var(--mark-6);
    height: var(--mark-6);
  }
  .play:not(:disabled) {
    background: var(--ink);
    color: var(--sheet);
  }
  .play:hover:not(:disabled) {
    background: var(--clean);
  }
  .mute[aria-pressed='true'] {
    border-color: var(--fault);
    background: var(--fault);
    color: var(--sheet);
  }
  .now {
    font-size: var(--text-title);
    font-weight: 600;
  }
  .guard {
    min-height: var(--mark-6);
    font-size: var(--text-small);
    line-height: 1.2;
    white-space: nowrap;
  }
  .guard.acting {
    color: var(--fault);
    font-weight: 600;
  }
  .more {
    display: grid;
    grid-template-columns: minmax(0, 1fr);
    width: var(--pane-8);
  }
  .loop {
    display: flex;
    align-items: center;
    justify-content: space-between;
    gap: var(--space-3);
    min-height: var(--target);
    white-space: nowrap;
  }
  .row {
    display: inline-flex;
    align-items: center;
    gap: var(--space-1);
  }
  .loop > button {
    margin-right: calc(-1 * var(--space-3));
    color: var(--ink-2);
    font-size: var(--text-small);
  }
  .monitor {
    --label-width: 7.2ch;
    --field-width: 8.6ch;
  }
  :host([narrow]) section {
    grid-template-columns: auto minmax(0, 1fr) auto;
    gap: var(--space-3) var(--space-3);
  }
  :host([narrow]) .play,
  :host([narrow]) .mute {
    min-width: var(--row-5);
    min-height: var(--row-4);
    padding: 0 var(--space-3);
    flex-direction: column;
    gap: var(--space-1);
    font-size: var(--text-small);
  }
  :host([narrow]) .mute {
    grid-area: 1 / 3;
  }
  :host([narrow]) .time {
    grid-area: 2 / 1;
    align-self: start;
    max-width: 6ch;
    line-height: 1.15;
  }
  :host([narrow]) .time small {
    display: block;
    white-space: nowrap;
  }
  :host([narrow]) .now {
    font-size: var(--text-lead);
  }
  :host([narrow]) .guard {
    position: absolute;
    min-height: 0;
  }
  :host([narrow]) .guard.acting {
    top: calc(-1 * var(--row-1));
    left: var(--space-4);
    padding: var(--space-1) var(--space-4);
    background: var(--fault-wash);
  }
  :host([narrow]) wave-line {
    grid-area: 2 / 2 / auto / span 2;
  }
  :host([narrow]) details {
    grid-column: 1 / -1;
  }
  :host([narrow]) summary {
    min-height: var(--target);
    line-height: var(--target);
    color: var(--ink-2);
    font-size: var(--text-small);
    cursor: pointer;
  }
  :host([narrow]) .more {
    width: 100%;
    padding-bottom: var(--space-2);
  }
  @media (forced-colors: active) {
    .play:not(:disabled),
    .mute[aria-pressed='true'] {
      forced-color-adjust: none;
      background: Highlight;
      color: HighlightText;
    }
  }
`;
