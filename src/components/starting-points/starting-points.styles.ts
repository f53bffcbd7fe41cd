import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: var(--pane-13);
    padding: var(--space-6);
  }
  dialog > p {
    margin: var(--space-2) 0 var(--space-4);
  }
  fieldset {
    min-width: 0;
    margin: 0;
    padding: 0;
    border: 0;
  }
  ul {
    margin: 0;
    padding: 0;
    list-style: none;
  }
  li {
    padding: var(--space-3) 0;
    border-top: 1px solid var(--rule);
  }
  li:last-child {
    border-bottom: 1px solid var(--rule);
  }
  li > label {
    display: flex;
    gap: var(--space-4);
    align-items: baseline;
    min-height: var(--target);
    cursor: pointer;
  }
  li input {
    flex: none;
    margin: 0;
    accent-color: var(--ink);
  }
  .about,
  li small {
    display: block;
  }
  dl {
    display: grid;
    grid-template-columns: repeat(6, 11ch);
    margin: var(--space-1) 0 0 var(--space-6);
  }
  dt {
    color: var(--ink-2);
    font-size: var(--text-small);
    white-space: nowrap;
  }
  dd {
    margin: 0;
    white-space: nowrap;
  }
  .does {
    display: flex;
    flex-wrap: wrap;
    gap: var(--space-2);
    justify-content: flex-end;
  }
  .sure {
    border-color: var(--fault);
    color: var(--fault);
  }
  .parts {
    display: grid;
    grid-template-columns: minmax(0, 1fr) var(--pane-6);
    gap: var(--space-6);
    align-items: start;
  }
  .beside {
    position: sticky;
    top: var(--space-6);
    display: grid;
    gap: var(--space-6);
  }
  h3 {
    margin-bottom: var(--space-2);
    font-size: var(--text-body);
    font-weight: 600;
  }
  .reserved {
    min-height: 2lh;
    margin: var(--space-2) 0;
  }
  section > button,
  form button {
    width: 100%;
  }
  form {
    display: grid;
    gap: var(--space-3);
    margin-bottom: var(--space-4);
  }
  .field {
    display: grid;
    gap: var(--space-1);
  }
  .field input {
    width: 100%;
    min-height: var(--target);
    padding: var(--space-1) var(--space-3);
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
    background: var(--sheet);
  }
  @media (max-width: 760px) {
    .parts {
      grid-template-columns: minmax(0, 1fr);
    }
    .beside {
      position: static;
    }
    dl {
      grid-template-columns: repeat(3, minmax(0, 1fr));
    }
    .does {
      justify-content: flex-start;
    }
  }
`;
