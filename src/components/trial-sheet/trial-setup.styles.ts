import { css } from 'lit';

export const styles = css`
  :host {
    --label-width: 13ch;
    --field-width: 9ch;
  }
  .columns {
    display: grid;
    grid-template-columns: minmax(0, 1.25fr) minmax(0, 1fr);
    gap: var(--space-6) var(--space-7);
    align-items: start;
  }
  .form,
  .aside {
    display: grid;
    gap: var(--space-6);
    min-width: 0;
  }
  fieldset,
  section {
    min-width: 0;
    margin: 0;
    padding: var(--space-3) 0 0;
    border: 0;
    border-top: 1.5px solid var(--ink);
  }
  legend {
    float: left;
    width: 100%;
    padding: 0;
    font-weight: 600;
  }
  legend + * {
    clear: both;
  }
  legend,
  h2 {
    margin-bottom: var(--space-2);
  }
  .questions.large input + span {
    place-items: start stretch;
    align-content: start;
    padding: var(--space-4) var(--space-5) var(--space-4);
  }
  .questions b {
    display: block;
    margin-bottom: var(--space-1);
    font-size: var(--text-lead);
    font-weight: 600;
  }
  .row {
    display: flex;
    align-items: center;
    gap: var(--space-3);
    min-height: calc(var(--target) + var(--space-2));
  }
  .own {
    margin-top: var(--space-2);
    padding-left: var(--space-5);
    border-left: 3px solid var(--rule-strong);
  }
  .row label {
    flex: 1;
    display: grid;
    grid-template-columns: var(--label-width) minmax(0, 1fr);
    align-items: center;
    column-gap: var(--space-4);
    min-width: 0;
  }
  select {
    width: 100%;
    min-width: 0;
    text-overflow: ellipsis;
  }
  .add,
  .listen {
    display: inline-flex;
    align-items: center;
    gap: var(--space-3);
  }
  .add {
    margin-left: calc(-1 * var(--space-3));
  }
  .add svg,
  .listen svg {
    width: var(--mark-4);
    height: var(--mark-4);
  }
  .listen {
    margin-top: var(--space-3);
  }
  .rules {
    display: flex;
    flex-wrap: wrap;
    gap: 0 var(--space-7);
  }
  .rules label {
    display: inline-flex;
    align-items: center;
    gap: var(--space-3);
    min-height: var(--target);
    cursor: pointer;
  }
  .rules label:has(:disabled) {
    color: var(--ink-2);
    cursor: default;
  }
  .rules input {
    margin: 0;
    accent-color: var(--ink);
  }
  ul,
  ol {
    margin: 0;
    padding-left: var(--space-6);
  }
  li + li {
    margin-top: var(--space-2);
  }
  li::marker {
    color: var(--ink-2);
  }
  ol + p,
  fieldset p {
    margin-top: var(--space-3);
  }
  .aside value-slider {
    --label-width: 8.8ch;
    margin-top: var(--space-2);
  }
  .start {
    min-height: var(--target-main);
    font-size: var(--text-lead);
  }
  .start + p {
    margin-top: calc(-1 * var(--space-5));
  }
  @media (max-width: 860px) {
    .columns,
    .questions {
      grid-template-columns: minmax(0, 1fr);
    }
    .questions label + label {
      border-left: 0;
      border-top: 1px solid var(--rule-strong);
    }
  }
  @media (forced-colors: active) {
    .questions input:checked + span,
    .start:not(:disabled) {
      forced-color-adjust: none;
      background: Highlight;
      color: HighlightText;
    }
  }
`;
