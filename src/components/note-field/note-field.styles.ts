import { css } from 'lit';

export const styles = css`
  textarea {
    display: block;
    width: 100%;
    min-height: var(--row-5);
    max-height: var(--pane-7);
    padding: var(--space-2) var(--space-3);
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
    background: var(--sheet);
    color: inherit;
    font: inherit;
    field-sizing: content;
    resize: vertical;
  }
  textarea:hover,
  textarea:focus {
    border-color: var(--ink);
  }
  label {
    display: block;
    padding: var(--space-1) 0;
    color: var(--ink-2);
  }
  summary {
    padding-right: var(--summary-end, 0);
  }
  .beginning {
    overflow: hidden;
    min-width: 0;
    margin-left: var(--space-4);
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  details[open] .beginning {
    display: none;
  }
`;
