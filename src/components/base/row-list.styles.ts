import { css } from 'lit';

/** Lists of things with something to do about each (`li`): what it is, and at the right what can be done. */
export const rowList = css`
  ul {
    margin: 0;
    padding: 0;
    list-style: none;
  }
  li {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    align-items: center;
    gap: var(--space-2) var(--space-5);
    padding: var(--space-3) 0;
    border-top: 1px solid var(--rule);
  }
  li:last-child {
    border-bottom: 1px solid var(--rule);
  }
  li b,
  li label {
    display: block;
    font-weight: 600;
    overflow-wrap: anywhere;
  }
  @media (max-width: 540px) {
    li {
      grid-template-columns: minmax(0, 1fr);
    }
  }
`;
