import { css } from 'lit';

export const styles = css`
  dialog {
    --dialog-width: var(--pane-13);
  }
  .content {
    padding: var(--space-6) var(--space-6) var(--space-6);
  }
  .content > .heading {
    align-items: center;
    margin-bottom: var(--space-4);
  }
  h2 {
    font-size: var(--text-title);
  }
  h2 small,
  h4 small {
    margin-left: var(--space-2);
    font-weight: 400;
  }
  section {
    min-width: 0;
    padding-top: var(--space-3);
    border-top: 1.5px solid var(--ink);
  }
  h3 {
    margin-bottom: var(--space-3);
    font-size: var(--text-body);
    font-weight: 600;
  }
  h4 {
    margin: 0;
    font-size: var(--text-body);
    font-weight: 600;
  }
  .export {
    display: grid;
    grid-template-columns: 38ch minmax(0, 1fr);
    gap: var(--space-7);
  }
  .aside {
    display: grid;
    grid-template-columns: 38ch minmax(0, 1fr);
    gap: var(--space-7);
    margin-top: var(--space-6);
  }
  fieldset {
    min-width: 0;
    margin: 0;
    padding: 0;
    border: 0;
  }
  legend {
    padding: 0;
    color: var(--ink-2);
    font-size: var(--text-small);
  }
  fieldset:disabled {
    color: var(--ink-2);
  }
  .part {
    display: flex;
    align-items: baseline;
    gap: var(--space-4);
    padding: var(--space-2) 0;
    border-bottom: 1px solid var(--rule);
    cursor: pointer;
  }
  .part input {
    flex: none;
    width: var(--mark-5);
    height: var(--mark-5);
    margin: 0;
    accent-color: var(--ink);
    translate: 0 var(--space-1);
  }
  .part small {
    margin-left: var(--space-2);
  }
  .fields {
    display: grid;
    grid-template-columns: auto minmax(0, 1fr);
    align-items: center;
    gap: var(--space-3) var(--space-5);
    margin: var(--space-4) 0;
  }
  .list {
    display: flex;
    flex-direction: column;
    gap: var(--space-4);
    min-width: 0;
  }
  .files {
    max-height: var(--pane-6);
  }
  th:first-child {
    white-space: normal;
    overflow-wrap: anywhere;
  }
  tfoot th,
  tfoot td {
    position: sticky;
    bottom: 0;
    background: var(--sheet);
    color: var(--ink-2);
  }
  .shape {
    color: var(--ink-2);
    font-size: var(--text-small);
  }
  .over td {
    color: var(--fault);
    font-weight: 600;
  }
  .line {
    display: inline-block;
    width: var(--mark-6);
    margin-right: var(--space-4);
    border-top: 1px solid var(--clean);
    vertical-align: 0.28em;
  }
  .line.coloured {
    border-top: 2.5px solid var(--coloured);
  }
  .line.none {
    border-top-color: transparent;
  }
  .sentences {
    margin: 0;
    padding: 0;
    color: var(--ink-2);
    font-size: var(--text-small);
    list-style: none;
  }
  .sentences li + li {
    margin-top: var(--space-2);
  }
  .warning {
    margin-top: var(--space-2);
  }
  .buttons {
    display: flex;
    flex-wrap: wrap;
    gap: var(--space-3);
  }
  .export .buttons,
  .export .work {
    margin-top: auto;
  }
  .aside .buttons,
  .aside .work,
  .aside .ending {
    margin-top: var(--space-4);
  }
  .work {
    display: grid;
    grid-template-columns: minmax(0, 1fr) var(--axis) auto;
    align-items: center;
    gap: var(--space-1) var(--space-5);
  }
  .work [role='status'] {
    grid-column: 1 / -1;
  }
  .share {
    text-align: right;
  }
  .name {
    margin-top: var(--space-4);
    overflow-wrap: anywhere;
  }
  .verdict {
    margin: var(--space-3) 0 var(--space-4);
  }
  .verdict p {
    margin-top: var(--space-2);
  }
  dl {
    display: flex;
    flex-wrap: wrap;
    gap: var(--space-1) var(--space-7);
    margin: var(--space-4) 0;
  }
  dt {
    color: var(--ink-2);
    font-size: var(--text-small);
  }
  dd {
    margin: 0;
    font-weight: 600;
  }
  .checked .heading {
    align-items: center;
  }
  .checked .heading button:not([aria-pressed='true']) {
    border-color: var(--rule);
  }
  .checked .scroll {
    max-height: var(--pane-5);
    margin-top: var(--space-3);
  }
  .bars {
    position: relative;
    display: flex;
    gap: var(--space-1);
    height: var(--pane-2);
    margin: var(--space-5) 0 var(--space-6) var(--axis);
    border-bottom: 1px solid var(--rule-strong);
  }
  .band {
    position: relative;
    display: flex;
    flex: 1;
    flex-direction: column;
    justify-content: flex-end;
    z-index: 1;
  }
  .band i {
    display: block;
    background: var(--coloured);
  }
  .band b {
    position: absolute;
    top: calc(100% + var(--space-1));
    left: 50%;
    color: var(--ink-2);
    font-size: var(--text-small);
    font-weight: 400;
    white-space: nowrap;
    transform: translateX(-50%);
  }
  .level {
    position: absolute;
    left: 0;
    width: 100%;
    border-top: 1px solid var(--grid);
  }
  .level span {
    position: absolute;
    right: calc(100% + var(--space-3));
    color: var(--ink-2);
    font-size: var(--text-small);
    transform: translateY(-50%);
  }
  @media (max-width: 860px) {
    .content {
      padding: var(--space-5);
    }
    .export,
    .aside {
      grid-template-columns: minmax(0, 1fr);
      gap: var(--space-5);
    }
    .part {
      align-items: center;
      min-height: var(--target);
    }
    .part input {
      translate: none;
    }
    .files {
      max-height: none;
    }
  }
  @media (forced-colors: active) {
    .band i {
      forced-color-adjust: none;
    }
  }
`;
