import { css } from 'lit';

export const styles = css`
  :host {
    --label-width: 6.5rem;
    --field-width: 4rem;
  }
  canvas {
    display: block;
    width: 100%;
    height: 3.2rem;
    margin-bottom: 0.3rem;
    cursor: pointer;
    touch-action: none;
  }
`;
