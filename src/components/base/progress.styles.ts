import { css } from 'lit';

/** How far work is: an ink bar; striped where nobody knows, without moving. `--progress-height` makes it another size. */
export const progress = css`
  progress {
    appearance: none;
    width: 100%;
    height: var(--progress-height, var(--mark-2));
    border: 1px solid var(--rule-strong);
    border-radius: 0;
    background: var(--well);
    color: var(--ink);
  }
  progress::-webkit-progress-bar {
    background: var(--well);
  }
  progress::-webkit-progress-value {
    background: var(--ink);
  }
  progress::-moz-progress-bar {
    background: var(--ink);
  }
  progress:indeterminate {
    background: repeating-linear-gradient(115deg, var(--rule-strong) 0 var(--mark-2), var(--well) var(--mark-2) calc(2 * var(--mark-2)));
  }
  progress:indeterminate::-webkit-progress-bar {
    background: none;
  }
  progress:indeterminate::-moz-progress-bar {
    background: none;
  }
  @media (forced-colors: active) {
    progress {
      forced-color-adjust: none;
      border-color: CanvasText;
      background: Canvas;
    }
    progress::-webkit-progress-bar {
      background: Canvas;
    }
    progress::-webkit-progress-value {
      background: Highlight;
    }
    progress::-moz-progress-bar {
      background: Highlight;
    }
  }
`;
