import { css } from 'lit';

export const styles = css`
  dialog {
    width: min(34rem, calc(100vw - 1.5rem));
    max-height: calc(100dvh - 1.5rem);
    padding: 1.2rem 1.4rem;
    border: 1.5px solid var(--ink);
    border-radius: 4px;
    background: var(--sheet);
    color: var(--ink);
    box-shadow: var(--shadow);
  }
  dialog::backdrop {
    background: rgb(0 0 0 / 35%);
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
  .answers {
    display: flex;
    flex-wrap: wrap;
    gap: 0.6rem;
    justify-content: flex-end;
  }
  .answers .main {
    border-color: var(--coloured);
    background: var(--coloured);
    color: var(--coloured-ink);
  }
  @media (max-width: 540px) {
    li {
      grid-template-columns: minmax(0, 1fr);
    }
  }
`;
