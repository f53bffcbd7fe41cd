import { css } from 'lit';

export const styles = css`
  .choice {
    display: grid;
    grid-template-columns: var(--label-width, 8.8ch) minmax(0, 1fr);
    align-items: center;
    column-gap: var(--space-4);
    min-height: var(--target-row);
  }
  select {
    width: 100%;
    min-height: var(--target);
    padding-block: 0;
  }
  .segments {
    display: flex;
    border: 1px solid var(--rule-strong);
    border-radius: var(--radius);
    overflow: clip;
  }
  .segments label {
    flex: 1;
    position: relative;
    cursor: pointer;
  }
  .segments label + label {
    border-left: 1px solid var(--rule-strong);
  }
  .segments input {
    position: absolute;
    inset: 0;
    width: 100%;
    height: 100%;
    margin: 0;
    opacity: 0;
    cursor: pointer;
  }
  .segments span {
    display: grid;
    place-items: center;
    min-height: calc(var(--target) - 2px);
    padding: 0 var(--space-2);
  }
  .segments label:hover span {
    background: var(--well);
  }
  .segments input:checked + span {
    background: var(--clean);
    color: var(--sheet);
  }
  .segments input:focus-visible + span {
    outline: 2px solid var(--focus);
    outline-offset: -2px;
  }
  @media (forced-colors: active) {
    .segments input:checked + span {
      forced-color-adjust: none;
      background: Highlight;
      color: HighlightText;
    }
  }
`;
