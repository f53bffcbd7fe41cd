import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: var(--pane-10);
  }
  h2,
  label {
    overflow-wrap: anywhere;
  }
  p {
    margin: var(--space-4) 0;
  }
  ul {
    margin: 0 0 var(--space-6);
    padding: 0;
    list-style: none;
  }
  li {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    align-items: center;
    gap: var(--space-1) var(--space-5);
    padding: var(--space-2) 0;
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
