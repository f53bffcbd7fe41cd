import { css } from 'lit';

export const styles = css`
  .list {
    margin-bottom: 0.2rem;
  }
  label {
    padding-inline: 0.15rem;
  }
  label + label {
    border-top: 1px solid var(--rule);
  }
  .all span {
    font-weight: 600;
  }
  button {
    width: 100%;
    margin: 0.3rem 0;
  }
`;
