import { css } from 'lit';

export const styles = css`
  h2 small {
    margin-left: 0.4rem;
    font-weight: 400;
  }
  .dc {
    color: var(--ink-2);
    font-size: var(--small);
  }
`;
