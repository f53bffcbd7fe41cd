import { css } from 'lit';

export const styles = css`
  :host {
    container-type: inline-size;
  }
  h2 small {
    margin-left: var(--space-3);
    font-weight: 400;
  }
  .buttons {
    display: inline-flex;
    gap: var(--space-2);
  }
  .set[aria-expanded='true'] {
    border-color: var(--ink);
  }
  /* Texts come and go in lines of their own height: the plot below never moves. */
  .figures,
  .notes {
    display: flex;
    justify-content: space-between;
    gap: 0 var(--space-6);
    height: 1.4em;
    overflow: hidden;
    color: var(--ink-2);
    font-size: var(--text-small);
    line-height: 1.4;
  }
  .low-figures {
    display: flex;
    gap: 0 var(--space-6);
    min-width: 0;
    margin-left: auto;
  }
  .reading,
  .low-figures > * {
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  .reading {
    min-width: 0;
    color: var(--ink);
  }
  .note:not(:empty) {
    padding-left: var(--space-3);
    border-left: 2px solid var(--coloured);
  }
  .state {
    flex: none;
    margin-left: auto;
    color: var(--ink);
  }
  .plot {
    min-height: var(--pane-4);
    margin-top: var(--space-1);
  }
  @container (max-width: 60rem) {
    .figures:has(.reading:not(:empty)) .slow {
      display: none;
    }
  }
  @container (max-width: 36rem) {
    .figures {
      flex-direction: column;
      height: 4.2em;
    }
    .reading {
      flex: none;
      height: 1.4em;
    }
    .low-figures {
      flex-direction: column;
      margin-left: 0;
    }
    .figures:has(.reading:not(:empty)) .slow {
      display: block;
    }
    .notes {
      height: 2.8em;
    }
  }
  @media (max-width: 860px) {
    .plot {
      min-height: var(--pane-5);
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
    padding-top: var(--space-3);
    color: var(--ink-2);
  }
`;
