import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: 44rem;
  }
  .heading {
    align-items: center;
  }
  p {
    margin: 0.35rem 0 0.8rem;
  }
  h3 {
    margin: 1.1rem 0 0.3rem;
    font-size: 1rem;
    font-weight: 600;
  }
  ul {
    margin: 0;
    padding: 0;
    list-style: none;
  }
  li {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    align-items: center;
    gap: 0.3rem 1rem;
    padding: 0.45rem 0;
    border-top: 1px solid var(--rule);
  }
  li:last-child {
    border-bottom: 1px solid var(--rule);
  }
  b {
    display: block;
    font-weight: 600;
    overflow-wrap: anywhere;
  }
  .does {
    display: flex;
    flex-wrap: wrap;
    gap: 0.35rem;
    justify-content: flex-end;
  }
  .does button {
    border-color: var(--rule);
  }
  .does .sure {
    border-color: var(--fault);
    color: var(--fault);
  }
  @media (max-width: 540px) {
    li {
      grid-template-columns: minmax(0, 1fr);
    }
    .does {
      justify-content: flex-start;
    }
  }
`;
