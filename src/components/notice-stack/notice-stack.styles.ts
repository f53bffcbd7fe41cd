import { css } from 'lit';

export const styles = css`
  :host {
    pointer-events: none;
  }
  [role='log'] {
    display: grid;
    gap: 0.5rem;
    max-height: 50dvh;
    overflow-y: auto;
  }
  .notice {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto auto;
    align-items: start;
    gap: 0.6rem;
    padding: 0.45rem 0.4rem 0.45rem 0.9rem;
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
    padding: 0.2rem 0;
    overflow-wrap: anywhere;
  }
  b {
    margin-right: 0.4rem;
    font-weight: 600;
  }
`;
