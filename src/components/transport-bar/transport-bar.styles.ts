import { css } from 'lit';

export const styles = css`
  section {
    display: grid;
    grid-template-columns: auto 7.6rem minmax(8rem, 1fr) auto auto;
    align-items: center;
    gap: 0.4rem 1rem;
  }
  .play,
  .mute {
    display: inline-flex;
    align-items: center;
    justify-content: center;
    gap: 0.55rem;
    min-width: 6.2rem;
    min-height: 3rem;
    border: 1.5px solid var(--ink);
    border-radius: 4px;
    font-size: 1.077rem;
    font-weight: 600;
  }
  .play svg,
  .mute svg {
    flex: none;
    width: 1.1rem;
    height: 1.1rem;
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
    font-size: 1.3rem;
    font-weight: 600;
  }
  .guard {
    min-height: 1.2rem;
    font-size: var(--small);
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
    width: 20.5rem;
  }
  .loop {
    display: flex;
    align-items: center;
    justify-content: space-between;
    gap: 0.5rem;
    min-height: var(--target);
    white-space: nowrap;
  }
  .row {
    display: inline-flex;
    align-items: center;
    gap: 0.2rem;
  }
  .loop > button {
    margin-right: -0.45rem;
    color: var(--ink-2);
    font-size: var(--small);
  }
  .monitor {
    --label-width: 4rem;
    --field-width: 4.8rem;
  }
  :host([narrow]) section {
    grid-template-columns: auto minmax(0, 1fr) auto;
    gap: 0.45rem 0.5rem;
  }
  :host([narrow]) .play,
  :host([narrow]) .mute {
    min-width: 3.2rem;
    min-height: 2.9rem;
    padding: 0 0.5rem;
    flex-direction: column;
    gap: 0.1rem;
    font-size: var(--small);
  }
  :host([narrow]) .mute {
    grid-area: 1 / 3;
  }
  :host([narrow]) .time {
    grid-area: 2 / 1;
    align-self: start;
    max-width: 3.6rem;
    line-height: 1.15;
  }
  :host([narrow]) .time small {
    display: block;
    white-space: nowrap;
  }
  :host([narrow]) .now {
    font-size: 1.077rem;
  }
  :host([narrow]) .guard {
    position: absolute;
    min-height: 0;
  }
  :host([narrow]) .guard.acting {
    top: -1.6rem;
    left: 0.75rem;
    padding: 0.15rem 0.6rem;
    background: var(--fault-wash);
  }
  :host([narrow]) wave-line {
    grid-area: 2 / 2 / auto / span 2;
  }
  :host([narrow]) details {
    grid-column: 1 / -1;
  }
  :host([narrow]) summary {
    min-height: 2.46rem;
    line-height: 2.46rem;
    color: var(--ink-2);
    font-size: var(--small);
    cursor: pointer;
  }
  :host([narrow]) .more {
    width: 100%;
    padding-bottom: 0.3rem;
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
