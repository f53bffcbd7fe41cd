import { css } from 'lit';

export const styles = css`
  .list {
    overflow-y: auto;
    max-height: 15rem;
    margin-bottom: 0.2rem;
    border-block: 1px solid var(--rule);
  }
  label {
    display: flex;
    align-items: center;
    gap: 0.45rem;
    min-height: var(--target);
    padding-inline: 0.15rem;
    cursor: pointer;
  }
  label + label {
    border-top: 1px solid var(--rule);
  }
  .all span {
    font-weight: 600;
  }
  label span {
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  label small {
    margin-left: auto;
    white-space: nowrap;
  }
  input {
    flex: none;
    width: 1rem;
    height: 1rem;
    margin: 0;
    accent-color: var(--ink);
  }
  button {
    width: 100%;
    margin: 0.3rem 0;
  }
`;
