import { css } from 'lit';

export const styles = css`
  .modes {
    display: flex;
    flex-wrap: wrap;
    gap: 0 1rem;
  }
  label {
    display: flex;
    align-items: center;
    gap: 0.45rem;
    min-height: var(--target);
    cursor: pointer;
  }
  label small {
    margin-left: auto;
    white-space: nowrap;
  }
  label span {
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  input {
    flex: none;
    width: 1rem;
    height: 1rem;
    margin: 0;
    accent-color: var(--ink);
  }
  .list {
    overflow-y: auto;
    max-height: 15rem;
    margin: 0.2rem 0;
    border-block: 1px solid var(--rule);
  }
  [role='group'] {
    padding: 0.2rem 0.15rem;
  }
  [role='group'] + [role='group'] {
    border-top: 1px solid var(--rule);
  }
  .list:empty {
    display: none;
  }
  button {
    width: 100%;
  }
`;
