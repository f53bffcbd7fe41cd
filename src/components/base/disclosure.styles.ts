import { css } from 'lit';

/** A native details with our own mark, which turns when it is open. */
export const disclosure = css`
  summary {
    display: flex;
    align-items: center;
    min-height: var(--target);
    color: var(--ink-2);
    cursor: pointer;
    list-style: none;
  }
  summary::-webkit-details-marker {
    display: none;
  }
  summary::before {
    content: '';
    flex: none;
    width: var(--mark-1);
    height: var(--mark-1);
    margin: 0 var(--space-4) 0 var(--space-1);
    border: solid currentColor;
    border-width: 0 1.5px 1.5px 0;
    transform: rotate(-45deg);
  }
  details[open] > summary::before {
    transform: rotate(45deg);
  }
  summary:hover {
    color: var(--ink);
  }
`;
