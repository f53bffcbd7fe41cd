import { css } from 'lit';

export const styles = css`
  textarea {
    display: block;
    width: 100%;
    min-height: 3.6rem;
    max-height: 18rem;
    padding: 0.35rem 0.5rem;
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
    padding: 0.15rem 0;
    color: var(--ink-2);
  }
  summary {
    padding-right: var(--summary-end, 0);
  }
  .beginning {
    overflow: hidden;
    min-width: 0;
    margin-left: 0.6rem;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  details[open] .beginning {
    display: none;
  }
`;
