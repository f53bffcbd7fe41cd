import { css } from 'lit';

export const styles = css`
  button {
    width: 100%;
    margin: var(--space-2) 0;
  }
`;
