import { css } from 'lit';

export const styles = css`
  :host {
    container-type: inline-size;
  }
  h2 small {
    margin-left: 0.4rem;
    font-weight: 400;
  }
  .buttons {
    display: inline-flex;
    gap: 0.35rem;
  }
  .set[aria-expanded='true'] {
    border-color: var(--ink);
  }
  .figures {
    display: flex;
    flex-wrap: wrap;
    justify-content: space-between;
    gap: 0 1.2rem;
    min-height: 1.4em;
    color: var(--ink-2);
    font-size: var(--small);
    line-height: 1.4;
  }
  .low-figures {
    display: flex;
    flex-wrap: wrap;
    gap: 0 1.2rem;
    margin-left: auto;
  }
  .reading {
    color: var(--ink);
  }
  .note {
    padding-left: 0.5rem;
    border-left: 2px solid var(--coloured);
    font-size: var(--small);
    line-height: 1.4;
  }
  .plot {
    min-height: 10.5rem;
    margin-top: 0.15rem;
  }
  .figures > * > * {
    white-space: nowrap;
  }
  @container (max-width: 60rem) {
    .figures:has(.reading:not(:empty)) .slow {
      display: none;
    }
  }
  @container (max-width: 36rem) {
    .reading {
      flex-basis: 100%;
      min-height: 1.4em;
    }
    .low-figures {
      margin-left: 0;
    }
    .figures:has(.reading:not(:empty)) .low-figures > * {
      display: inline;
      font-size: var(--small);
    }
  }
  @media (max-width: 860px) {
    .plot {
      min-height: 15rem;
    }
  }
  .cursor {
    cursor: crosshair;
    touch-action: pan-y;
  }
  .cursor:focus-visible {
    outline-offset: -2px;
  }
  .part {
    padding-top: 0.5rem;
    color: var(--ink-2);
  }
`;
