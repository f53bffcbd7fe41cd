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
  .notice {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto auto;
    align-items: start;
    gap: var(--space-4);
    padding: var(--space-3) var(--space-3) var(--space-3) var(--space-5);
    border: 1px solid var(--rule-strong);
    border-left: 4px solid var(--clean);
    border-radius: var(--radius);
    background: var(--sheet);
    box-shadow: var(--shadow);
    pointer-events: auto;
  }
  .notice button:only-of-type {
    grid-column: 3;
  }
  .warning {
    border-left-color: var(--warn);
    background: var(--warn-wash);
  }
  .warning b {
    color: var(--warn);
  }
  .fault {
    border-left-color: var(--fault);
    background: var(--fault-wash);
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
