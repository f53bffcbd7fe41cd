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
    grid-template-columns: var(--pane-7) minmax(0, 1fr);
    gap: 0 var(--space-7);
    padding: var(--space-5) var(--space-6) var(--space-5);
  }
  main:focus {
    outline: none;
  }
  .side {
    display: flex;
    flex-direction: column;
    gap: var(--space-6);
    min-width: 0;
  }
  .sheet {
    display: grid;
    grid-template: auto minmax(0, 1fr) / minmax(0, 1fr);
    gap: var(--space-3);
    min-width: 0;
  }
  .below {
    display: flex;
    flex-direction: column;
    min-width: 0;
  }
  .below > [id] {
    /* The transport stands over the lower edge. */
    scroll-margin-bottom: var(--pane-1);
    display: grid;
    flex: 1;
    min-width: 0;
  }
  .tabs {
    display: flex;
    gap: var(--space-6);
  }
  .tabs button {
    min-height: var(--row-2);
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
    gap: 0 var(--space-7);
  }
  footer {
    position: sticky;
    bottom: 0;
    z-index: 2;
    padding: var(--space-3) var(--space-6) var(--space-4);
    border-top: 1.5px solid var(--ink);
    background: var(--sheet);
  }
  notice-stack {
    position: absolute;
    right: var(--space-6);
    bottom: calc(100% + var(--space-4));
    width: min(var(--pane-10), calc(100vw - var(--space-7)));
  }
  .drop {
    position: fixed;
    inset: 0;
    z-index: 10;
    display: grid;
    place-items: center;
    padding: var(--space-5);
    background: color-mix(in srgb, var(--sheet) 82%, transparent);
    pointer-events: none;
  }
  .drop::before {
    content: '';
    position: absolute;
    inset: var(--space-5);
    border: 2px dashed var(--coloured);
    border-radius: var(--radius);
  }
  .drop p {
    text-align: center;
  }
  .drop b {
    display: block;
    font-size: var(--text-display);
    font-weight: 600;
  }
  @media (max-width: 1100px) {
    main {
      grid-template-columns: var(--pane-7) minmax(0, 1fr);
      gap: 0 var(--space-6);
      padding-inline: var(--space-5);
    }
    .plots {
      grid-template-columns: minmax(0, 1fr);
      gap: var(--space-5);
    }
    footer {
      padding-inline: var(--space-5);
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
    gap: var(--space-5);
    padding: var(--space-4) var(--space-5) var(--space-5);
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
    gap: var(--space-5);
  }
`;
