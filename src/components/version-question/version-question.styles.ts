import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: 34rem;
  }
  h2,
  label {
    overflow-wrap: anywhere;
  }
  p {
    margin: 0.6rem 0;
  }
  ul {
    margin: 0 0 1.1rem;
    padding: 0;
    list-style: none;
  }
  li {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    align-items: center;
    gap: 0.2rem 1rem;
    padding: 0.35rem 0;
    border-top: 1px solid var(--rule);
  }
  label {
    display: block;
    font-weight: 600;
  }
  @media (max-width: 540px) {
    li {
      grid-template-columns: minmax(0, 1fr);
    }
  }
`;
