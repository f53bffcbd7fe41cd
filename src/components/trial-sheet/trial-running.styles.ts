import { css } from 'lit';

export const styles = css`
  section {
    display: grid;
    gap: var(--space-7);
    max-width: var(--pane-12);
    margin: 0 auto;
  }
  header {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: var(--space-2) var(--space-6);
    padding-bottom: var(--space-3);
    border-bottom: 1.5px solid var(--ink);
  }
  .count {
    margin-right: auto;
    font-size: var(--text-title);
  }
  .training {
    margin-left: var(--space-4);
    padding: var(--space-1) var(--space-3);
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
    font-size: var(--text-body);
    white-space: nowrap;
  }
  .score {
    color: var(--ink-2);
  }
  .tools {
    display: flex;
    gap: var(--space-3);
  }
  .tools button {
    display: inline-flex;
    align-items: center;
    gap: var(--space-3);
    min-height: var(--row-3);
  }
  .tools svg {
    width: var(--mark-5);
    height: var(--mark-5);
  }
  kbd {
    display: inline-block;
    min-width: var(--row-1);
    padding: 0 var(--space-3);
    border: 1px solid currentColor;
    border-radius: var(--radius);
    font: inherit;
    font-size: var(--text-small);
    font-weight: 400;
    text-align: center;
  }
  .slots {
    display: grid;
    grid-auto-flow: column;
    grid-auto-columns: minmax(0, 1fr);
    gap: var(--space-5);
  }
  .slots button {
    display: grid;
    justify-items: center;
    align-content: center;
    gap: var(--space-3);
    min-height: var(--pane-4);
    border: 1.5px solid var(--ink);
    border-radius: var(--radius);
  }
  .slots b {
    font-size: var(--text-display);
    font-weight: 600;
    line-height: 1.1;
  }
  .slots small {
    color: inherit;
    font-size: var(--text-body);
  }
  .answers {
    display: grid;
    grid-template-columns: repeat(2, minmax(0, 1fr));
    gap: var(--space-4) var(--space-5);
  }
  #question {
    grid-column: 1 / -1;
    font-size: var(--text-lead);
    font-weight: 600;
  }
  .answers button {
    display: flex;
    align-items: center;
    justify-content: center;
    gap: var(--space-4);
    min-height: var(--row-5);
    font-size: var(--text-lead);
  }
  /* Unlike the sound one hears, so that neither is taken for the other. */
  .answers button[aria-pressed='true'],
  .answers button[aria-pressed='true']:hover {
    border-color: var(--ink);
    background: var(--well);
    box-shadow: inset 0 0 0 1.5px var(--ink);
    color: var(--ink);
    font-weight: 600;
  }
  .mark {
    flex: none;
    width: var(--mark-5);
    height: var(--mark-5);
    border: 1.5px solid currentColor;
    border-radius: var(--radius-round);
  }
  [aria-pressed='true'] > .mark {
    border-width: var(--space-2);
  }
  .slots button:disabled,
  .answers button:disabled {
    border-color: var(--rule-strong);
    color: var(--ink-2);
  }
  .next {
    display: grid;
    grid-template-columns: minmax(0, 1fr) auto;
    align-items: center;
    gap: var(--space-4) var(--space-6);
    min-height: var(--row-5);
  }
  .go {
    min-width: var(--pane-5);
    min-height: var(--row-5);
    font-size: var(--text-lead);
    font-weight: 600;
  }
  .go kbd {
    margin-left: var(--space-3);
  }
  .muted {
    padding: var(--space-4) var(--space-5) var(--space-4);
  }
  .keys {
    display: grid;
    grid-template-columns: repeat(auto-fit, minmax(min(var(--pane-8), 100%), 1fr));
    gap: var(--space-2) var(--space-7);
    margin: 0;
    padding: var(--space-4) 0 0;
    border-top: 1px solid var(--rule);
    color: var(--ink-2);
    font-size: var(--text-small);
    list-style: none;
  }
  @media (max-width: 860px) {
    section {
      gap: var(--space-5);
    }
    .slots {
      gap: var(--space-3);
    }
    .slots button {
      min-height: var(--pane-3);
      padding-inline: var(--space-1);
    }
    .slots b {
      font-size: var(--text-display);
    }
    .answers {
      gap: var(--space-3);
    }
    .answers button {
      flex-direction: column;
      gap: var(--space-2);
      padding-block: var(--space-3);
    }
    .next {
      grid-template-columns: minmax(0, 1fr);
    }
    .go {
      width: 100%;
    }
  }
  @media (forced-colors: active) {
    .answers button[aria-pressed='true'] {
      forced-color-adjust: auto;
      outline: 2px solid Highlight;
    }
  }
`;
