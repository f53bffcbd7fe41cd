import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { findRack, type RackId, type SessionDocument } from '../../session/document.ts';
import { base } from '../base/base.styles.ts';
import { checkList } from '../base/check-list.styles.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';
import { styles } from './rack-choice.styles.ts';

/**
 * Racks to tick, all channels at once or one by one.
 *
 * @fires choice - `CustomEvent<ReadonlySet<RackId>>`: the racks that are ticked now.
 */
@customElement('rack-choice')
export class RackChoice extends LitElement {
  static override styles = [base, checkList, styles];

  @property({ attribute: false }) document!: SessionDocument;
  /** In the order they are shown. */
  @property({ attribute: false }) racks: readonly RackId[] = [];
  @property({ attribute: false }) chosen: ReadonlySet<RackId> = new Set();
  @property() override ariaLabel = 'Racks';

  override render() {
    const { chosen, document, racks } = this;
    const channels = document.channels.map(({ id }) => id).filter((id) => racks.includes(id));
    const every = channels.every((id) => chosen.has(id));
    const one = (id: RackId) => html`<label
      ><input
        type="checkbox"
        .checked=${live(chosen.has(id))}
        @change=${(event: Event) => this.choose([id], (event.target as HTMLInputElement).checked)}
      /><span>${rackName(document, id)}</span> <small>${stagesWords(stagesOf(document, id))}</small></label
    >`;
    return html`<div class="list" role="group" aria-label=${this.ariaLabel}>
      ${
        channels.length < 2
          ? nothing
          : html`<label class="all"
              ><input
                type="checkbox"
                .checked=${live(every)}
                .indeterminate=${live(!every && channels.some((id) => chosen.has(id)))}
                @change=${(event: Event) => this.choose(channels, (event.target as HTMLInputElement).checked)}
              /><span>${channels.length === document.channels.length ? 'All channels' : 'All other channels'}</span></label
            >`
      }
      ${racks.map(one)}
    </div>`;
  }

  private choose(ids: readonly RackId[], on: boolean): void {
    const chosen = new Set(this.chosen);
    for (const id of ids) {
      if (on) chosen.add(id);
      else chosen.delete(id);
    }
    this.dispatchEvent(new CustomEvent<ReadonlySet<RackId>>('choice', { detail: chosen }));
  }
}

export function stagesOf(document: SessionDocument, rackId: RackId): number {
  return findRack(document, rackId)?.stages.length ?? 0;
}

/** What is lost where stages are put in the place of others, as a sentence; nothing where all of these are empty. */
export function replacesWords(document: SessionDocument, racks: readonly RackId[]): string {
  const full = racks.filter((id) => stagesOf(document, id) > 0).length;
  return full === 0
    ? ''
    : `Replaces the stages of ${full === 1 ? 'one rack' : `${full} racks`}; undo brings them back.`;
}

function stagesWords(count: number): string {
  return count === 0 ? 'empty' : count === 1 ? '1 stage' : `${count} stages`;
}

declare global {
  interface HTMLElementTagNameMap {
    'rack-choice': RackChoice;
  }
}
