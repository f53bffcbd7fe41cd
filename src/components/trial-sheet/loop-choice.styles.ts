import { css } from 'lit';

export const styles = css`
  :host {
    --label-width: 11.7ch;
    --field-width: 7.2ch;
  }
  canvas {
    display: block;
    width: 100%;
    height: var(--row-5);
    margin-bottom: var(--space-2);
    cursor: pointer;
    touch-action: none;
  }
`;
