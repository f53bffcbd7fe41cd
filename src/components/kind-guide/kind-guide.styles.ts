import { css } from 'lit';

export const styles = css`
  h3 {
    padding-top: var(--space-3);
    border-top: 1.5px solid var(--ink);
    font-size: var(--text-body);
    font-weight: 600;
  }
  section {
    margin-top: var(--space-5);
  }
  h4 {
    margin: 0;
    font-size: var(--text-body);
    font-weight: 600;
  }
  .pictures {
    display: grid;
    grid-template-columns: repeat(auto-fit, minmax(min(var(--pane-7), 100%), 1fr));
    gap: var(--space-2) var(--space-6);
    min-height: var(--pane-4);
  }
  .waiting {
    align-self: center;
  }
  svg {
    max-width: 100%;
  }
`;
