import { css } from 'lit';

export const styles = css`
  .brand {
    display: flex;
    align-items: center;
    gap: var(--space-4);
    min-height: var(--row-3);
  }
  .mark {
    flex: none;
    width: var(--row-3);
    fill: none;
    stroke-linejoin: round;
  }
  .mark .clean {
    stroke: var(--clean);
    stroke-width: 1.2;
  }
  .mark .coloured {
    stroke: var(--coloured);
    stroke-width: 2.6;
  }
  h1 {
    margin: 0;
    font-size: var(--text-title);
    font-weight: 700;
    letter-spacing: -0.015em;
    white-space: nowrap;
  }
  .history {
    display: flex;
    margin-left: auto;
    margin-right: calc(-1 * var(--space-3));
    color: var(--ink-2);
  }
  .name {
    display: block;
    width: calc(100% + 2 * var(--space-2));
    margin: var(--space-1) calc(-1 * var(--space-2)) 0;
    padding: 0 var(--space-1);
    border: 1px solid transparent;
    border-radius: var(--radius);
    background: none;
    font-size: var(--text-lead);
    font-weight: 600;
    text-overflow: ellipsis;
  }
  .name:hover {
    border-color: var(--rule-strong);
  }
  .name:focus {
    border-color: var(--ink);
    outline-offset: 0;
  }
  .facts {
    display: flex;
    align-items: center;
    gap: var(--space-3);
  }
  .facts p {
    flex: 1;
    min-width: 0;
  }
  /* One line, whatever it says: what was undone stands in the place of the summary. */
  .facts .line {
    overflow: hidden;
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  .facts button {
    flex: none;
    margin: 0 calc(-1 * var(--space-3)) calc(-1 * var(--space-2)) 0;
    color: var(--ink-2);
    font-size: var(--text-small);
  }
  summary {
    margin: var(--space-2) 0 calc(-1 * var(--space-3));
  }
  details[open] {
    padding-bottom: var(--space-2);
  }
  .files {
    display: grid;
    grid-template-columns: repeat(auto-fit, minmax(var(--pane-2), 1fr));
    gap: var(--space-2) var(--space-3);
    margin-top: var(--space-4);
  }
  .files button {
    padding-inline: var(--space-3);
    border-color: var(--rule);
  }
  .file {
    position: relative;
  }
  /* In the line of the summary, whether that is open or not. */
  .export {
    position: absolute;
    top: 0;
    right: 0;
    border-color: var(--rule);
  }
  .file summary {
    width: max-content;
  }
  note-field {
    margin-top: var(--space-2);
  }
  .actions {
    display: flex;
    flex-wrap: wrap;
    gap: var(--space-2) var(--space-3);
    margin-top: var(--space-4);
  }
  .actions button {
    flex: 1 0 auto;
    padding-inline: var(--space-3);
  }
  .actions .main {
    border-color: var(--ink);
    font-weight: 600;
  }
  .actions .quiet {
    flex-basis: 40%;
    border-color: var(--rule);
  }
  .reading {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    align-items: center;
    min-height: var(--target);
    margin-top: var(--space-3);
  }
  .reading label {
    overflow: hidden;
    font-size: var(--text-small);
    text-overflow: ellipsis;
    white-space: nowrap;
  }
  progress {
    --progress-height: var(--mark-1);
    grid-column: 1 / -1;
  }
  dialog {
    --dialog-width: var(--pane-10);
  }
  dialog p {
    margin: var(--space-4) 0 var(--space-6);
  }
`;
