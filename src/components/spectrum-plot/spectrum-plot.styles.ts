import { css } from 'lit';

export const styles = css`
  h2 small {
    margin-left: 0.4rem;
    font-weight: 400;
  }
  .plot .dc {
    inset: 0.35rem 0.6rem auto auto;
    width: auto;
    height: auto;
    padding: 0 0.3rem;
    background: var(--sheet);
    pointer-events: none;
    color: var(--ink-2);
    font-size: var(--small);
  }
`;
