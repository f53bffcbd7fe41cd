import { css } from 'lit';

export const styles = css`
  .choice {
    display: grid;
    grid-template-columns: var(--label-width, 8.8ch) minmax(0, 1fr);
    align-items: center;
    column-gap: var(--space-4);
    min-height: var(--target-row);
  }
  select {
    width: 100%;
    min-height: var(--target);
    padding-block: 0;
  }
`;
