import { css } from 'lit';

export const styles = css`
  :host {
    display: block;
    position: relative;
  }
  canvas {
    display: block;
    width: 100%;
    height: 100%;
  }
  .figures {
    position: absolute;
    top: 0.85rem;
    right: 0.5rem;
    left: 0.5rem;
    display: none;
    font-size: var(--axis);
    color: var(--ink-2);
    white-space: pre;
    text-align: center;
  }
`;
