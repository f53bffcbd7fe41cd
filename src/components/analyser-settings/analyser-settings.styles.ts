import { css } from 'lit';

export const styles = css`
  .settings {
    display: flex;
    flex-wrap: wrap;
    gap: 0.3rem 1.1rem;
    padding: 0.35rem 0 0.4rem;
    font-size: var(--small);
  }
  label {
    display: inline-flex;
    align-items: center;
    gap: 0.4rem;
    color: var(--ink-2);
  }
  select {
    max-width: 11.5rem;
    min-height: var(--target);
    padding: 0 0.3rem;
    border-color: var(--rule);
    color: var(--ink);
  }
  .tick {
    min-height: var(--target);
    cursor: pointer;
  }
  input {
    width: 1rem;
    height: 1rem;
    margin: 0;
    accent-color: var(--ink);
  }
  @media (max-width: 860px) {
    .settings {
      display: grid;
      grid-template-columns: repeat(auto-fit, minmax(9.5rem, 1fr));
    }
    label:not(.tick) {
      display: grid;
      gap: 0.1rem;
    }
    select {
      width: 100%;
      max-width: none;
    }
  }
`;
