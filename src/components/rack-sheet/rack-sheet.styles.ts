import { css } from 'lit';

export const styles = css`
  :host {
    border-top: 1.5px solid var(--ink);
    border-bottom: 1px solid var(--rule-strong);
  }
  header {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: 0 var(--space-6);
    min-height: var(--row-4);
    padding: var(--space-2) 0;
  }
  h2 {
    font-size: var(--text-title);
    letter-spacing: -0.005em;
  }
  h2 small {
    margin-left: var(--space-3);
    font-weight: 400;
  }
  h3 {
    font-size: var(--text-lead);
    font-weight: 600;
  }
  .legend {
    display: flex;
    flex-wrap: wrap;
    gap: var(--space-1) var(--space-6);
    margin: 0 0 0 auto;
    padding: 0;
    list-style: none;
    font-size: var(--text-small);
    color: var(--ink-2);
  }
  .legend li {
    display: flex;
    align-items: center;
    gap: var(--space-3);
  }
  .legend i {
    width: var(--row-1);
    border-top: 1px solid var(--clean);
  }
  .legend .coloured {
    border-top: 2.25px solid var(--coloured);
  }
  .legend .dashed {
    border-top-style: dashed;
  }
  .legend .tick {
    height: var(--mark-2);
    width: var(--mark-5);
    border: solid var(--ink);
    border-width: 0 1.5px;
    background: linear-gradient(var(--ink), var(--ink)) 50% 50% / 100% 1.5px no-repeat;
  }
  .unheard {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: var(--space-2) var(--space-5);
    margin: 0 0 var(--space-3);
  }
  .body {
    display: grid;
    grid-template-columns: minmax(0, 1fr) var(--pane-6);
    border-top: 1px solid var(--rule);
  }
  .scroller {
    position: relative;
    display: grid;
    grid-template: 0 auto 1fr / minmax(0, 1fr);
    overflow-x: auto;
    overscroll-behavior-x: contain;
    scrollbar-width: thin;
    scrollbar-color: var(--rule-strong) transparent;
  }
  .columns {
    display: grid;
    min-width: max-content;
    border-top: 1px solid var(--rule);
  }
  .columns > * + * {
    border-left: 1px solid var(--rule);
  }
  .rack-off {
    opacity: 0.55;
  }
  .in,
  .catalogue {
    padding: var(--space-4) var(--space-5);
  }
  .in {
    padding-left: 0;
  }
  .in h3,
  .catalogue h3 {
    min-height: var(--target);
    line-height: var(--target);
  }
  dl {
    margin: var(--space-2) 0 0;
    font-size: var(--text-small);
  }
  .catalogue ul {
    margin: var(--space-1) 0 0;
    padding: 0;
    list-style: none;
  }
  .catalogue button {
    display: flex;
    align-items: center;
    gap: var(--space-3);
    width: calc(100% + var(--space-3));
    margin-left: calc(-1 * var(--space-3));
    padding-right: 0;
    text-align: left;
  }
  .catalogue button svg {
    flex: none;
    width: var(--mark-4);
    height: var(--mark-4);
    color: var(--ink-2);
  }
  .catalogue p {
    color: var(--ink-2);
    font-size: var(--text-small);
  }
  .catalogue.wide {
    max-width: var(--pane-11);
    padding-left: var(--space-6);
  }
  .catalogue.wide li {
    display: grid;
    grid-template-columns: var(--pane-4) minmax(0, 1fr);
    align-items: baseline;
  }
  .out {
    border-left: 1px solid var(--rule-strong);
  }
  .levels {
    display: grid;
    grid-template: minmax(0, 1fr) / var(--pane-1) minmax(0, 1fr);
    gap: var(--space-3);
    border-bottom: 1px solid var(--rule);
  }
  .in level-panel {
    margin-top: var(--space-5);
  }
  .out-body {
    padding: var(--space-4) 0 var(--space-4) var(--space-5);
  }
  .out h3 {
    min-height: var(--target);
    margin-bottom: var(--space-2);
    line-height: var(--target);
  }
  .none {
    padding: var(--space-7) 0;
    color: var(--ink-2);
  }
  :host([narrow]) .body {
    grid-template-columns: minmax(0, 1fr);
  }
  :host([narrow]) .columns {
    min-width: 0;
  }
  :host([narrow]) .columns > * + * {
    border-left: 0;
    border-top: 1px solid var(--rule);
  }
  :host([narrow]) .in,
  :host([narrow]) .catalogue,
  :host([narrow]) .out-body {
    padding-inline: 0;
  }
  :host([narrow]) .in dl {
    display: grid;
    grid-template-columns: repeat(5, auto);
    justify-content: space-between;
  }
  :host([narrow]) .in dl div {
    display: block;
    border: 0;
  }
  :host([narrow]) .out {
    border-left: 0;
    border-top: 1px solid var(--rule-strong);
  }
  :host([narrow]) header .switch {
    margin-left: auto;
  }
  :host([narrow]) stage-column {
    --column-padding: 0px;
  }
  :host([narrow]) .legend {
    gap: var(--space-1) var(--space-5);
    margin: 0 0 var(--space-2);
  }
  :host([narrow]) .catalogue ul {
    display: flex;
    flex-wrap: wrap;
    gap: var(--space-3);
  }
  :host([narrow]) .catalogue button {
    width: auto;
    margin: 0;
    padding-inline: var(--space-4);
    border-color: var(--rule-strong);
  }
`;
