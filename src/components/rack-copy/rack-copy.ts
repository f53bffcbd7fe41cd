import { css, html, LitElement, nothing, type PropertyValues } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { findRack, type RackId, rackIds, type SessionDocument } from '../../session/document.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import '../rack-choice/rack-choice.ts';
import { replacesWords } from '../rack-choice/rack-choice.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';

/** Copies a rack's stages to several others at once, in one step of undo. */
@customElement('rack-copy')
export class RackCopy extends LitElement {
  static override styles = [
    base,
    disclosure,
    css`
      button {
        width: 100%;
        margin: var(--space-2) 0;
      }
    `,
  ];

  @store(sessionContext) private session?: SessionStore;
  @property() rackId: RackId = '';
  @state() private chosen: ReadonlySet<RackId> = new Set();
  @state() private done = '';
  @state() private open = false;

  override willUpdate(changed: PropertyValues<this>): void {
    if (!changed.has('rackId')) return;
    this.chosen = new Set();
    this.done = '';
  }

  override render() {
    const document = this.session?.document;
    const rack = document && findRack(document, this.rackId);
    if (!document || !rack) return nothing;
    const others = rackIds(document).filter((id) => id !== this.rackId);
    if (others.length === 0) return nothing;
    const content = () =>
      rack.stages.length === 0
        ? html`<p class="small">This rack has no stages to copy.</p>`
        : this.renderTargets(document, others);
    return html`<details @toggle=${(event: Event) => (this.open = (event.target as HTMLDetailsElement).open)}>
      <summary>Copy this rack to…</summary>
      ${this.open ? content() : nothing}
      <p class="small" role="status">${this.done}</p>
    </details>`;
  }

  private renderTargets(document: SessionDocument, others: readonly RackId[]) {
    const targets = others.filter((id) => this.chosen.has(id));
    return html`<rack-choice
        aria-label="Racks to copy to"
        .document=${document}
        .racks=${others}
        .chosen=${this.chosen}
        @choice=${({ detail }: CustomEvent<ReadonlySet<RackId>>) => {
          this.chosen = detail;
          this.done = '';
        }}
      ></rack-choice>
      <p class="small">${replacesWords(document, targets)}</p>
      <button ?disabled=${targets.length === 0} @click=${() => this.copy(targets)}>
        ${targets.length === 0 ? 'Choose racks' : `Copy to ${targets.length === 1 ? rackName(document, targets[0]) : `${targets.length} racks`}`}
      </button>`;
  }

  private copy(toRackIds: RackId[]): void {
    this.session?.dispatch({ type: 'copy-rack', fromRackId: this.rackId, toRackIds });
    this.chosen = new Set();
    this.done = `Copied to ${toRackIds.length === 1 ? 'one rack' : `${toRackIds.length} racks`}. Each is matched by itself.`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'rack-copy': RackCopy;
  }
}
