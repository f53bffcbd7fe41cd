import { css } from 'lit';

export const styles = css`
  :host {
    min-height: 100dvh;
    background: var(--sheet);
  }
  main {
    display: grid;
    grid-template-columns: minmax(0, 1fr);
    align-content: start;
    gap: var(--space-6);
    max-width: var(--pane-14);
    min-height: 100dvh;
    margin: 0 auto;
    padding: var(--space-6) var(--space-7) var(--space-7);
  }
  main.running {
    align-content: center;
  }
  header {
    display: flex;
    align-items: center;
    justify-content: space-between;
    gap: var(--space-5);
  }
  h1 {
    margin: 0;
    font-size: var(--text-display);
    font-weight: 700;
    letter-spacing: -0.015em;
  }
  h1:focus {
    outline: none;
  }
  .preparing {
    display: grid;
    justify-items: start;
    gap: var(--space-5);
    padding-top: var(--space-4);
    border-top: 1.5px solid var(--ink);
  }
  progress {
    --progress-height: var(--mark-4);
    width: min(var(--pane-11), 100%);
  }
  notice-stack {
    position: fixed;
    right: var(--space-6);
    bottom: var(--space-5);
    width: min(var(--pane-10), calc(100vw - var(--space-7)));
  }
  @media (max-width: 860px) {
    main {
      padding: var(--space-5) var(--space-5) var(--space-7);
    }
    main.running {
      align-content: start;
    }
    h1 {
      font-size: var(--text-display);
    }
  }
`;
