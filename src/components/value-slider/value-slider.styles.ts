import { css } from 'lit';

export const styles = css`
  /* Words and figures have their room in digits' widths, so that they fit in any font. */
  :host {
    display: grid;
    grid-template-columns: var(--label-width, 8.8ch) minmax(var(--row-4), 1fr) var(--field-width, 8.8ch);
    align-items: center;
    column-gap: var(--space-4);
    min-height: var(--target);
  }
  :host([compact]) {
    display: inline-grid;
    grid-template-columns: var(--field-width, 8.8ch);
  }
  :host([bare]) {
    grid-template-columns: minmax(var(--row-4), 1fr) var(--field-width, 8.8ch);
  }
  label {
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  input[type='range'] {
    --w: var(--mark-2);
    appearance: none;
    width: 100%;
    height: var(--target);
    margin: 0;
    background: none;
    cursor: ew-resize;
    touch-action: pan-y;
    /* Filled from the default to the value, and the default has a tick: both ends say where it stands. */
    --drawn:
      linear-gradient(var(--rule-strong), var(--rule-strong)) calc(var(--w) / 2 + var(--home) * (100% - var(--w))) 50% / 1px
        var(--mark-3) no-repeat,
      linear-gradient(
          to right,
          transparent calc(100% * var(--low)),
          var(--clean) calc(100% * var(--low)) calc(100% * var(--high)),
          transparent calc(100% * var(--high))
        )
        50% 50% / calc(100% - var(--w)) 3px no-repeat,
      linear-gradient(var(--rule), var(--rule)) 50% 50% / 100% 3px no-repeat;
  }
  input[type='range']::-webkit-slider-runnable-track {
    height: var(--mark-6);
    background: var(--drawn);
  }
  input[type='range']::-moz-range-track {
    height: var(--mark-6);
    background: var(--drawn);
  }
  input[type='range']::-webkit-slider-thumb {
    appearance: none;
    width: var(--w);
    height: var(--mark-6);
    border: 1.5px solid var(--ink);
    border-radius: var(--radius);
    background: var(--sheet);
  }
  input[type='range']::-moz-range-thumb {
    width: var(--w);
    height: var(--mark-6);
    border: 1.5px solid var(--ink);
    border-radius: var(--radius);
    background: var(--sheet);
  }
  input[type='range']:hover:not(:disabled)::-webkit-slider-thumb,
  input[type='range']:active:not(:disabled)::-webkit-slider-thumb {
    background: var(--ink);
  }
  input[type='range']:hover:not(:disabled)::-moz-range-thumb {
    background: var(--ink);
  }
  input[type='range']:disabled {
    opacity: 0.5;
    cursor: default;
  }
  .field {
    width: 100%;
    min-height: min(var(--target), var(--row-2));
    padding: 0 var(--space-2);
    border: 1px solid transparent;
    border-radius: var(--radius);
    background: none;
    text-align: right;
    cursor: text;
  }
  .field:hover:not(:disabled) {
    border-color: var(--rule-strong);
  }
  .field:focus {
    border-color: var(--ink);
    background: var(--sheet);
    outline-offset: 0;
  }
  .field[aria-invalid='true'] {
    border-color: var(--fault);
  }
  p {
    grid-column: 1 / -1;
    margin: var(--space-1) 0 var(--space-2);
    font-size: var(--text-small);
  }
  @media (pointer: coarse), (max-width: 860px) {
    input[type='range'] {
      --w: var(--mark-4);
    }
    input[type='range']::-webkit-slider-thumb {
      height: var(--row-1);
      margin-top: calc(-1 * var(--space-2));
    }
    input[type='range']::-moz-range-thumb {
      height: var(--row-1);
    }
  }
  @media (forced-colors: active) {
    input[type='range'] {
      appearance: auto;
    }
  }
`;
