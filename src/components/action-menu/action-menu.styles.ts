import { css } from 'lit';

export const styles = css`
  :host {
    display: inline-flex;
  }
  .opener {
    max-width: 100%;
    padding-inline: var(--space-3);
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  .opener::after {
    content: '';
    display: inline-block;
    width: 0.35em;
    height: 0.35em;
    margin: 0 0 0.18em 0.4em;
    border: solid currentColor;
    border-width: 0 1.5px 1.5px 0;
    transform: rotate(45deg);
  }
  [popover] {
    position: fixed;
    inset: auto;
    min-width: var(--pane-3);
    max-width: min(var(--pane-8), calc(100vw - var(--space-6)));
    max-height: min(var(--pane-9), calc(100dvh - var(--space-6)));
    margin: 0;
    padding: var(--space-2) 0;
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
    background: var(--sheet);
    color: var(--ink);
    box-shadow: var(--shadow);
    overflow-y: auto;
  }
  [role='menuitem'] {
    display: block;
    width: 100%;
    border: 0;
    border-radius: 0;
    background: none;
    overflow: hidden;
    text-align: left;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  [role='menuitem']:focus-visible {
    outline-offset: -2px;
  }
`;
