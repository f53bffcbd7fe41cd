import { css } from 'lit';

export const styles = css`
  section {
    padding-top: 0.45rem;
    border-top: 1.5px solid var(--ink);
  }
  ul {
    margin: 0.35rem 0 0;
    padding: 0;
    list-style: none;
  }
  li {
    display: grid;
    grid-template-columns: 11rem minmax(0, 1fr) auto auto;
    align-items: center;
    gap: 0.2rem 0.6rem;
    padding: 0.35rem 0;
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
