import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: var(--pane-11);
  }
  .heading {
    align-items: center;
  }
  p {
    margin: var(--space-2) 0 var(--space-5);
  }
  h3 {
    margin: var(--space-6) 0 var(--space-2);
    font-size: var(--text-body);
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
    gap: var(--space-2) var(--space-5);
    padding: var(--space-3) 0;
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
    gap: var(--space-2);
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
