import { css } from 'lit';

export const styles = css`
  :host {
    pointer-events: none;
  }
  [role='log'] {
    display: grid;
    gap: var(--space-3);
    max-height: 50dvh;
    overflow-y: auto;
  }
  .notice.callout {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto auto;
    align-items: start;
    gap: var(--space-4);
    padding: var(--space-3) var(--space-3) var(--space-3) var(--space-5);
    border-width: 1px 1px 1px 4px;
    border-style: solid;
    border-block-color: var(--rule-strong);
    border-right-color: var(--rule-strong);
    border-radius: var(--radius);
    box-shadow: var(--shadow);
    color: var(--ink);
    pointer-events: auto;
  }
  .notice button:only-of-type {
    grid-column: 3;
  }
  .warning b {
    color: var(--warn);
  }
  .fault b {
    color: var(--fault);
  }
  p {
    padding: var(--space-1) 0;
    overflow-wrap: anywhere;
  }
  b {
    margin-right: var(--space-3);
    font-weight: 600;
  }
`;
