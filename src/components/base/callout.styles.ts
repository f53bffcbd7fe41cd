import { css } from 'lit';

/** A sentence that stands out: `.callout`, with `.warning`, `.fault`, or `.coloured` for what bears on what is heard. */
export const callout = css`
  .callout {
    padding: var(--space-2) var(--space-4);
    border-left: 3px solid var(--ink);
    background: var(--well);
  }
  .callout.warning {
    border-left-color: var(--warn);
    background: var(--warn-wash);
    color: var(--warn);
  }
  .callout.fault {
    border-left-color: var(--fault);
    background: var(--fault-wash);
    color: var(--fault);
  }
  .callout.coloured {
    border-left-color: var(--coloured);
    background: var(--wash);
  }
  @media (forced-colors: active) {
    .callout {
      border: 1px solid CanvasText;
      border-left-width: 3px;
    }
  }
`;
