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
`;
