import { html, LitElement, nothing, type PropertyValues } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { findRack, type RackId, rackIds, type SessionDocument } from '../../session/document.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { checkList } from '../base/check-list.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';
import { styles } from './rack-copy.styles.ts';

/** Copies a rack's stages to several others at once, in one step of undo. */
@customElement('rack-copy')
export class RackCopy extends LitElement {
  static override styles = [base, disclosure, checkList, styles];

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
    const channels = document.channels.map(({ id }) => id).filter((id) => id !== this.rackId);
    const targets = others.filter((id) => this.chosen.has(id));
    const full = targets.filter((id) => stagesOf(document, id) > 0).length;
    return html`<div class="list" role="group" aria-label="Racks to copy to">
        ${
          channels.length < 2
            ? nothing
            : html`<label class="all"
                ><input
                  type="checkbox"
                  .checked=${live(channels.every((id) => this.chosen.has(id)))}
                  .indeterminate=${live(channels.some((id) => this.chosen.has(id)) && !channels.every((id) => this.chosen.has(id)))}
                  @change=${(event: Event) => this.choose(channels, (event.target as HTMLInputElement).checked)}
                /><span>${channels.length === document.channels.length ? 'All channels' : 'All other channels'}</span></label
              >`
        }
        ${others.map(
          (id) => html`<label
            ><input
              type="checkbox"
              .checked=${live(this.chosen.has(id))}
              @change=${(event: Event) => this.choose([id], (event.target as HTMLInputElement).checked)}
            /><span>${rackName(document, id)}</span> <small>${stagesWords(stagesOf(document, id))}</small></label
          >`,
        )}
      </div>
      <p class="small">${full === 0 ? nothing : `Replaces the stages of ${full === 1 ? 'one rack' : `${full} racks`}; undo brings them back.`}</p>
      <button ?disabled=${targets.length === 0} @click=${() => this.copy(targets)}>
        ${targets.length === 0 ? 'Choose racks' : `Copy to ${targets.length === 1 ? rackName(document, targets[0]) : `${targets.length} racks`}`}
      </button>`;
  }

  private choose(ids: readonly RackId[], on: boolean): void {
    const chosen = new Set(this.chosen);
    for (const id of ids) {
      if (on) chosen.add(id);
      else chosen.delete(id);
    }
    this.chosen = chosen;
    this.done = '';
  }

  private copy(toRackIds: RackId[]): void {
    this.session?.dispatch({ type: 'copy-rack', fromRackId: this.rackId, toRackIds });
    this.chosen = new Set();
    this.done = `Copied to ${toRackIds.length === 1 ? 'one rack' : `${toRackIds.length} racks`}. Each is matched by itself.`;
  }
}

function stagesOf(document: SessionDocument, rackId: RackId): number {
  return findRack(document, rackId)?.stages.length ?? 0;
}

function stagesWords(count: number): string {
  return count === 0 ? 'empty' : count === 1 ? '1 stage' : `${count} stages`;
}

declare global {
  interface HTMLElementTagNameMap {
    'rack-copy': RackCopy;
  }
}
