import { css } from 'lit';

export const styles = css`
  .settings {
    display: flex;
    flex-wrap: wrap;
    gap: var(--space-2) var(--space-6);
    padding: var(--space-2) 0 var(--space-3);
    font-size: var(--text-small);
  }
  label {
    display: inline-flex;
    align-items: center;
    gap: var(--space-3);
    color: var(--ink-2);
  }
  select {
    max-width: var(--pane-5);
    min-height: var(--target);
    padding: 0 var(--space-2);
    border-color: var(--rule);
    color: var(--ink);
  }
  .tick {
    min-height: var(--target);
    cursor: pointer;
  }
  input {
    width: var(--mark-5);
    height: var(--mark-5);
    margin: 0;
    accent-color: var(--ink);
  }
  @media (max-width: 860px) {
    .settings {
      display: grid;
      grid-template-columns: repeat(auto-fit, minmax(var(--pane-3), 1fr));
    }
    label:not(.tick) {
      display: grid;
      gap: var(--space-1);
    }
    select {
      width: 100%;
      max-width: none;
    }
  }
`;
