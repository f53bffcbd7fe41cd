import { css } from 'lit';

export const styles = css`
  section {
    padding-top: var(--space-3);
    border-top: 1.5px solid var(--ink);
  }
  ul {
    margin: var(--space-2) 0 0;
    padding: 0;
    list-style: none;
  }
  li {
    display: grid;
    grid-template-columns: var(--pane-4) minmax(0, 1fr) auto auto;
    align-items: center;
    gap: var(--space-1) var(--space-4);
    padding: var(--space-2) 0;
    border-top: 1px solid var(--rule);
  }
  .found small {
    display: block;
  }
  .date {
    color: var(--ink-2);
  }
  @media (max-width: 860px) {
    li {
      grid-template-columns: minmax(0, 1fr) auto auto;
    }
    .found {
      grid-row: 2;
      grid-column: 1 / -1;
    }
  }
`;
