import { css } from 'lit';

export const styles = css`
  section {
    display: grid;
    gap: 1.6rem;
    max-width: 52rem;
    margin: 0 auto;
  }
  header {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: 0.3rem 1.2rem;
    padding-bottom: 0.5rem;
    border-bottom: 1.5px solid var(--ink);
  }
  .count {
    margin-right: auto;
    font-size: 1.3rem;
  }
  .training {
    margin-left: 0.7rem;
    padding: 0.1rem 0.5rem;
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
    font-size: 1rem;
    white-space: nowrap;
  }
  .score {
    color: var(--ink-2);
  }
  .tools {
    display: flex;
    gap: 0.4rem;
  }
  .tools button {
    display: inline-flex;
    align-items: center;
    gap: 0.4rem;
    min-height: 2.4rem;
  }
  .tools svg {
    width: 1rem;
    height: 1rem;
  }
  kbd {
    display: inline-block;
    min-width: 1.6rem;
    padding: 0.02rem 0.4rem;
    border: 1px solid currentColor;
    border-radius: 3px;
    font: inherit;
    font-size: var(--small);
    font-weight: 400;
    text-align: center;
  }
  .slots {
    display: grid;
    grid-auto-flow: column;
    grid-auto-columns: minmax(0, 1fr);
    gap: 1rem;
  }
  .slots button {
    display: grid;
    justify-items: center;
    align-content: center;
    gap: 0.5rem;
    min-height: 11rem;
    border: 1.5px solid var(--ink);
    border-radius: 4px;
  }
  .slots b {
    font-size: 2rem;
    font-weight: 600;
    line-height: 1.1;
  }
  .slots small {
    color: inherit;
    font-size: 1rem;
  }
  .answers {
    display: grid;
    grid-template-columns: repeat(2, minmax(0, 1fr));
    gap: 0.6rem 1rem;
  }
  #question {
    grid-column: 1 / -1;
    font-size: 1.077rem;
    font-weight: 600;
  }
  .answers button {
    display: flex;
    align-items: center;
    justify-content: center;
    gap: 0.7rem;
    min-height: 3.6rem;
    font-size: 1.15rem;
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
    width: 1rem;
    height: 1rem;
    border: 1.5px solid currentColor;
    border-radius: 50%;
  }
  [aria-pressed='true'] > .mark {
    border-width: 0.3rem;
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
    gap: 0.6rem 1.2rem;
    min-height: 3.4rem;
  }
  .go {
    min-width: 14rem;
    min-height: 3.2rem;
    border: 1.5px solid var(--ink);
    background: var(--ink);
    color: var(--sheet);
    font-size: 1.15rem;
    font-weight: 600;
  }
  .go:hover:not([aria-disabled='true']) {
    background: var(--clean);
    color: var(--sheet);
  }
  .go[aria-disabled='true'],
  .go[aria-disabled='true']:hover {
    border-color: var(--rule-strong);
    background: var(--sheet);
    color: var(--ink-2);
  }
  .go kbd {
    margin-left: 0.5rem;
  }
  .muted {
    padding: 0.6rem 0.9rem 0.7rem;
    border-left: 3px solid var(--warn);
    background: var(--warn-wash);
  }
  .keys {
    display: grid;
    grid-template-columns: repeat(auto-fit, minmax(min(20rem, 100%), 1fr));
    gap: 0.35rem 1.6rem;
    margin: 0;
    padding: 0.7rem 0 0;
    border-top: 1px solid var(--rule);
    color: var(--ink-2);
    font-size: var(--small);
    list-style: none;
  }
  @media (max-width: 860px) {
    section {
      gap: 1rem;
    }
    .slots {
      gap: 0.5rem;
    }
    .slots button {
      min-height: 8.5rem;
      padding-inline: 0.2rem;
    }
    .slots b {
      font-size: 1.5rem;
    }
    .answers {
      gap: 0.5rem;
    }
    .answers button {
      flex-direction: column;
      gap: 0.3rem;
      padding-block: 0.5rem;
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
    .go:not([aria-disabled='true']) {
      forced-color-adjust: none;
      background: Highlight;
      color: HighlightText;
    }
  }
`;
