import { css } from 'lit';

export const styles = css`
  :host {
    position: relative;
    padding-top: var(--space-5);
  }
  .line {
    position: relative;
    height: var(--row-4);
    border-block: 1px solid var(--rule);
    cursor: crosshair;
    touch-action: pan-y;
    user-select: none;
  }
  canvas {
    display: block;
    width: 100%;
    height: 100%;
  }
  .message {
    position: absolute;
    inset: 0;
    display: grid;
    place-items: center;
    color: var(--ink-2);
    font-size: var(--text-small);
    pointer-events: none;
  }
  .marks {
    position: absolute;
    inset: 0 0 auto;
    height: var(--mark-3);
  }
  .marks button {
    position: absolute;
    top: calc(-1 * var(--space-2));
    width: var(--mark-6);
    min-height: var(--mark-5);
    height: var(--mark-5);
    padding: 0;
    border: 0;
    background: none;
    transform: translateX(-50%);
  }
  .marks button::before {
    content: '';
    position: absolute;
    bottom: 0;
    left: 50%;
    border: var(--mark-1) solid transparent;
    border-top: var(--mark-2) solid var(--coloured);
    border-bottom: 0;
    transform: translateX(-50%);
  }
  .marks button:hover:not(:disabled) {
    background: none;
  }
  .marks button:hover::before {
    border-top-color: var(--ink);
  }
`;
