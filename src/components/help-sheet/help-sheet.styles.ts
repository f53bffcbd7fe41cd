import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: var(--pane-12);
  }
  .content {
    padding: var(--space-6) var(--space-7);
  }
  .heading {
    align-items: center;
    margin-bottom: var(--space-3);
  }
  h2 {
    font-size: var(--text-title);
  }
  h3 {
    margin: 0 0 var(--space-1);
    padding-top: var(--space-3);
    border-top: 1.5px solid var(--ink);
    font-size: var(--text-body);
    font-weight: 600;
  }
  p {
    max-width: var(--pane-11);
  }
  .groups {
    display: grid;
    grid-template-columns: repeat(auto-fit, minmax(min(var(--pane-8), 100%), 1fr));
    gap: var(--space-6) var(--space-7);
    margin: var(--space-5) 0;
  }
  tr + tr {
    border-top: 1px solid var(--rule);
  }
  th,
  td {
    padding: var(--space-2) 0;
    vertical-align: baseline;
  }
  th {
    width: 13ch;
    padding-right: var(--space-4);
    white-space: nowrap;
  }
  kbd {
    display: inline-block;
    min-width: var(--row-1);
    padding: 0 var(--space-3);
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
    background: var(--well);
    font: inherit;
    font-size: var(--text-small);
    text-align: center;
  }
  .marks {
    display: flex;
    flex-wrap: wrap;
    gap: var(--space-2) var(--space-6);
    margin: var(--space-5) 0 0;
    padding: 0;
    list-style: none;
  }
  .marks li {
    display: flex;
    align-items: center;
    gap: var(--space-3);
  }
  .marks i {
    width: var(--row-2);
    border-top: 1px solid var(--clean);
  }
  .marks .coloured {
    border-top: 3px solid var(--coloured);
  }
  .marks .added {
    border-top: 2px dotted var(--coloured);
  }
  .marks .odd,
  .marks .even {
    width: var(--mark-3);
    height: var(--mark-3);
    border: 1.5px solid var(--odd);
    background: var(--odd);
  }
  .marks .even {
    border-color: var(--even);
    background: none;
  }
  @media (max-width: 860px) {
    .content {
      padding: var(--space-5);
    }
  }
`;
