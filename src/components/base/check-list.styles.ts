import { css } from 'lit';

/** A list to tick: each row a box, its words in one line, and a small remark at the right. */
export const checkList = css`
  .list {
    overflow-y: auto;
    max-height: var(--pane-5);
    border-block: 1px solid var(--rule);
  }
  label {
    display: flex;
    align-items: center;
    gap: var(--space-3);
    min-height: var(--target);
    cursor: pointer;
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
    width: var(--mark-5);
    height: var(--mark-5);
    margin: 0;
    accent-color: var(--ink);
  }
`;
