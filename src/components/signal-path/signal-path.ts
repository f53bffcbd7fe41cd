import { consume } from '@lit/context';
import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { MIX_ID, type Rack, type RackId, type SessionDocument } from '../../session/document.ts';
import { base } from '../base/base.styles.ts';
import { type AnalysisStore, analysisContext, type SessionStore, sessionContext } from '../context/stores.ts';
import { Watch } from '../context/watch.ts';
import { change, figureText } from '../format/figures.ts';
import { icons } from '../icons/icons.ts';
import { styles } from './signal-path.styles.ts';

interface Place {
  readonly id: RackId;
  readonly name: string;
  readonly kind: 'channel' | 'bus' | 'mix';
  readonly inBus: boolean;
  readonly rack: Rack;
}

/** The racks in the order sound takes them: buses with their channels, channels straight into the mix, the mix. */
@customElement('signal-path')
export class SignalPath extends LitElement {
  static override styles = [base, styles];

  @consume({ context: sessionContext, subscribe: true }) private session?: SessionStore;
  @consume({ context: analysisContext, subscribe: true }) private analysis?: AnalysisStore;
  /** A strip that scrolls sideways, for narrow screens. */
  @property({ type: Boolean, reflect: true }) narrow = false;

  constructor() {
    super();
    new Watch(this, () => this.session);
    new Watch(this, () => this.analysis);
  }

  override render() {
    if (!this.session) return nothing;
    const { document, selectedRack } = this.session;
    const list = places(document);
    const stale = this.analysis?.status === 'working';
    return html`<section aria-labelledby="heading">
      <div class="heading">
        <h2 id="heading">Signal path</h2>
        ${
          this.narrow
            ? nothing
            : html`<button class="quiet" title="Adds an empty bus" @click=${() => this.addBus()}>
                ${icons.add}<span>Bus</span>
              </button>`
        }
      </div>
      <table @keydown=${(event: KeyboardEvent) => this.onKey(event, list)}>
        <thead>
          <tr>
            <th scope="col"><span class="hidden">Rack</span></th>
            <th scope="col">stages</th>
            <th scope="col" title="Change of the peak to loudness ratio by the rack, dB">PLR dB</th>
            <th scope="col"><span class="hidden">On</span></th>
          </tr>
        </thead>
        <tbody>
          ${list.map((place) => this.renderRow(place, place.id === selectedRack, stale))}
        </tbody>
      </table>
    </section>`;
  }

  private renderRow({ id, name, kind, inBus, rack }: Place, chosen: boolean, stale: boolean) {
    const figures = this.analysis?.rack(id);
    const plr = change(figures?.input?.plrDb, figures?.output?.plrDb);
    return html`<tr class="${kind} ${inBus ? 'in-bus' : ''} ${chosen ? 'chosen' : ''} ${rack.on ? '' : 'off'}">
      <th scope="row">
        <button
          data-rack=${id}
          aria-current=${chosen ? 'true' : 'false'}
          tabindex=${chosen ? 0 : -1}
          @click=${() => this.session?.selectRack(id)}
        >
          ${name}
        </button>
      </th>
      <td>${rack.stages.length === 0 ? html`<span title="No stages">0</span>` : rack.stages.length}</td>
      <td class=${stale ? 'stale' : 'fresh'}>
        ${figureText(plr, { digits: 1, signed: true }, figures?.reason ?? 'Not measured yet')}
      </td>
      <td class="on">
        <input
          type="checkbox"
          role="switch"
          aria-label=${`Rack of ${name} on`}
          title=${rack.on ? 'This rack is on' : 'This rack is off'}
          .checked=${live(rack.on)}
          @change=${(event: Event) =>
            this.session?.dispatch({
              type: 'set-rack-on',
              rackId: id,
              on: (event.target as HTMLInputElement).checked,
            })}
        />
      </td>
    </tr>`;
  }

  private addBus(): void {
    const id = this.session!.addBus(null);
    if (id !== null) this.session!.selectRack(id);
  }

  /** One stop for Tab; the arrows choose within the list, as Home and End do. */
  private async onKey(event: KeyboardEvent, list: readonly Place[]): Promise<void> {
    if (!(event.target instanceof HTMLButtonElement) || event.ctrlKey || event.metaKey || event.altKey) return;
    const at = list.findIndex(({ id }) => id === this.session!.selectedRack);
    const to = target(event.key, at, list.length - 1, this.narrow);
    if (to === null) return;
    event.preventDefault();
    this.session!.selectRack(list[to].id);
    this.requestUpdate();
    await this.updateComplete;
    const button = this.renderRoot.querySelector<HTMLButtonElement>('button[tabindex="0"]');
    button?.focus();
    button?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
  }
}

function target(key: string, at: number, last: number, sideways: boolean): number | null {
  if (key === 'ArrowDown' || (sideways && key === 'ArrowRight')) return Math.min(last, at + 1);
  if (key === 'ArrowUp' || (sideways && key === 'ArrowLeft')) return Math.max(0, at - 1);
  if (key === 'Home') return 0;
  return key === 'End' ? last : null;
}

function places({ channels, buses, mix }: SessionDocument): Place[] {
  const channel = (busId: string | null) =>
    channels
      .filter((entry) => entry.busId === busId)
      .map(({ id, name, rack }): Place => ({ id, name, kind: 'channel', inBus: busId !== null, rack }));
  return [
    ...buses.flatMap(({ id, name, rack }): Place[] => [{ id, name, kind: 'bus', inBus: false, rack }, ...channel(id)]),
    ...channel(null),
    { id: MIX_ID, name: 'Mix', kind: 'mix', inBus: false, rack: mix.rack },
  ];
}

declare global {
  interface HTMLElementTagNameMap {
    'signal-path': SignalPath;
  }
}
