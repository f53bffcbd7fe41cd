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
    .does {
      justify-content: flex-start;
    }
  }
`;
