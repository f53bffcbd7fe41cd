import { css } from 'lit';

export const styles = css`
  :host {
    display: grid;
    grid-template-rows: minmax(0, 1fr) auto;
    min-height: 100dvh;
    background: var(--sheet);
  }
  main {
    display: grid;
    grid-template-columns: 19.4rem minmax(0, 1fr);
    gap: 0 1.6rem;
    padding: 0.9rem 1.3rem 0.9rem;
  }
  main:focus {
    outline: none;
  }
  .side {
    display: flex;
    flex-direction: column;
    gap: 1.1rem;
    min-width: 0;
  }
  .sheet {
    display: grid;
    grid-template: auto minmax(0, 1fr) / minmax(0, 1fr);
    gap: 0.5rem;
    min-width: 0;
  }
  .below {
    display: flex;
    flex-direction: column;
    min-width: 0;
  }
  .below > [id] {
    /* The transport stands over the lower edge. */
    scroll-margin-bottom: 6.5rem;
    display: grid;
    flex: 1;
    min-width: 0;
  }
  .tabs {
    display: flex;
    gap: 1.4rem;
  }
  .tabs button {
    min-height: 1.85rem;
    padding: 0;
    border: 0;
    border-bottom: 3px solid transparent;
    border-radius: 0;
    background: none;
    color: var(--ink-2);
  }
  .tabs button:hover {
    color: var(--ink);
  }
  .tabs button[aria-selected='true'] {
    border-bottom-color: var(--ink);
    color: var(--ink);
    font-weight: 600;
  }
  .plots {
    display: grid;
    grid-template-columns: minmax(0, 1.6fr) minmax(0, 1fr);
    gap: 0 1.6rem;
  }
  footer {
    position: sticky;
    bottom: 0;
    z-index: 2;
    padding: 0.5rem 1.3rem 0.6rem;
    border-top: 1.5px solid var(--ink);
    background: var(--sheet);
  }
  notice-stack {
    position: absolute;
    right: 1.3rem;
    bottom: calc(100% + 0.7rem);
    width: min(30rem, calc(100vw - 1.5rem));
  }
  .drop {
    position: fixed;
    inset: 0;
    z-index: 10;
    display: grid;
    place-items: center;
    padding: 1rem;
    background: color-mix(in srgb, var(--sheet) 82%, transparent);
    pointer-events: none;
  }
  .drop::before {
    content: '';
    position: absolute;
    inset: 0.8rem;
    border: 2px dashed var(--coloured);
    border-radius: 6px;
  }
  .drop p {
    text-align: center;
  }
  .drop b {
    display: block;
    font-size: 1.6rem;
    font-weight: 600;
  }
  @media (max-width: 1100px) {
    main {
      grid-template-columns: 18.9rem minmax(0, 1fr);
      gap: 0 1.1rem;
      padding-inline: 0.9rem;
    }
    .plots {
      grid-template-columns: minmax(0, 1fr);
      gap: 0.9rem;
    }
    footer {
      padding-inline: 0.9rem;
    }
  }
  @media (pointer: coarse), (max-width: 860px) {
    .tabs button {
      min-height: var(--target);
    }
  }
  @media (forced-colors: active) {
    .tabs button[aria-selected='true'] {
      border-bottom-color: Highlight;
    }
  }
  .narrow {
    grid-template-columns: minmax(0, 1fr);
    gap: 0.9rem;
    padding: 0.6rem 0.9rem 0.9rem;
  }
  .narrow .side {
    display: contents;
  }
  .narrow session-figures {
    order: 3;
  }
  .narrow scene-list {
    order: 4;
  }
  .narrow .sheet {
    order: 2;
  }
  .narrow .plots {
    grid-template-columns: minmax(0, 1fr);
    gap: 0.9rem;
  }
`;
