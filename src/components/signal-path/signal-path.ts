import { consume } from '@lit/context';
import { html, LitElement, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { classMap } from 'lit/directives/class-map.js';
import { live } from 'lit/directives/live.js';
import type { Command } from '../../session/commands.ts';
import {
  type Bus,
  type Channel,
  MIX_ID,
  type Rack,
  type RackId,
  type SessionDocument,
} from '../../session/document.ts';
import { base } from '../base/base.styles.ts';
import { type AnalysisStore, analysisContext, type SessionStore, sessionContext } from '../context/stores.ts';
import { Watch } from '../context/watch.ts';
import { change, figureText } from '../format/figures.ts';
import { isStale } from '../format/stale.ts';
import { icons } from '../icons/icons.ts';
import { dropCommand, moveCommand } from './reorder.ts';
import { styles } from './signal-path.styles.ts';

interface Place {
  readonly id: RackId;
  readonly name: string;
  readonly kind: 'channel' | 'bus' | 'mix';
  readonly inBus: boolean;
  readonly rack: Rack;
  /** What mute and solo act on; the mix has neither. */
  readonly strip: Channel | Bus | null;
}

/** The racks in the order sound takes them: buses with their channels, channels straight into the mix, the mix. Rows can be dragged. */
@customElement('signal-path')
export class SignalPath extends LitElement {
  static override styles = [base, styles];

  @consume({ context: sessionContext, subscribe: true }) private session?: SessionStore;
  @consume({ context: analysisContext, subscribe: true }) private analysis?: AnalysisStore;
  /** A strip that scrolls sideways, for narrow screens. */
  @property({ type: Boolean, reflect: true }) narrow = false;
  @state() private dragged: RackId | null = null;
  @state() private over: RackId | null = null;
  @query('input[type=file]') private picker?: HTMLInputElement;
  /** The channel whose file is looked for. */
  #wanting: string | null = null;

  constructor() {
    super();
    new Watch(this, () => this.session);
    new Watch(this, () => this.session?.files);
    new Watch(this, () => this.analysis);
  }

  override render() {
    if (!this.session) return nothing;
    const { document, selectedRack } = this.session;
    const list = places(document);
    const stale = isStale(this.analysis);
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
            <th scope="col" class="stages"><span>stages</span></th>
            <th scope="col" title="Change of the peak to loudness ratio by the rack, dB">PLR dB</th>
            <th scope="col"><span class="hidden">Mute and solo</span></th>
            <th scope="col"><span class="hidden">On</span></th>
          </tr>
        </thead>
        <tbody>
          ${list.map((place) => this.renderRow(place, place.id === selectedRack, stale))}
        </tbody>
      </table>
      ${this.renderSolo(list)}
      <input type="file" hidden aria-label="The channel's file" @change=${this.onFound} />
    </section>`;
  }

  private renderRow({ id, name, kind, inBus, rack, strip }: Place, chosen: boolean, stale: boolean) {
    const figures = this.analysis?.rack(id);
    const plr = change(figures?.input?.plrDb, figures?.output?.plrDb);
    const classes = {
      [kind]: true,
      'in-bus': inBus,
      chosen,
      off: !rack.on,
      muted: strip?.mute ?? false,
      switched: (strip?.mute || strip?.solo) ?? false,
      lost: this.session?.files.missing.has(id) ?? false,
      target: this.over === id && this.dragged !== null && this.dropOn(id) !== null,
    };
    return html`<tr
      class=${classMap(classes)}
      draggable=${strip ? 'true' : 'false'}
      @dragstart=${(event: DragEvent) => this.onDragStart(event, id)}
      @dragend=${this.onDragEnd}
      @dragover=${(event: DragEvent) => this.onDragOver(event, id)}
      @drop=${(event: DragEvent) => this.onDrop(event, id)}
    >
      <th scope="row">
        <button
          data-rack=${id}
          aria-current=${chosen ? 'true' : 'false'}
          tabindex=${chosen ? 0 : -1}
          @click=${() => this.session?.selectRack(id)}
        >
          ${name}
        </button>
        ${this.session?.files.missing.has(id) ? this.renderMissing(id, name, strip) : nothing}
      </th>
      <td>${rack.stages.length === 0 ? html`<span title="No stages">0</span>` : rack.stages.length}</td>
      <td class=${stale ? 'stale' : 'fresh'}>
        ${figureText(plr, { digits: 1, signed: true }, figures?.reason ?? 'Not measured yet')}
      </td>
      <td class="strip">${strip ? renderStrip(strip, chosen, (command) => this.session?.dispatch(command)) : nothing}</td>
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

  /** The channel's sound is not here: what it was, and the way to bring it back. */
  private renderMissing(id: RackId, name: string, strip: Place['strip']) {
    const file = (strip && 'audio' in strip && strip.audio?.file) || 'Its file';
    return html`<div class="missing" title=${`${file} is not here, so this channel is silent. Its rack is kept.`}>
      <span>${icons.missing}no sound<span class="hidden">: ${file} is missing</span></span>
      <button class="quiet" @click=${() => this.find(id)}>Find file…<span class="hidden"> for ${name}</span></button>
    </div>`;
  }

  private find(channelId: string): void {
    this.#wanting = channelId;
    this.picker?.click();
  }

  private onFound(event: Event): void {
    const field = event.target as HTMLInputElement;
    const file = field.files?.[0];
    field.value = '';
    if (file && this.#wanting !== null) void this.session?.files.findFile(this.#wanting, file);
    this.#wanting = null;
  }

  /** What is heard instead of the mix, and the way back. */
  private renderSolo(list: readonly Place[]) {
    const session = this.session!;
    const { soloThroughBuses } = session.document;
    const soloed = list.flatMap(({ strip }) => (strip?.solo ? [strip] : []));
    if (soloed.length === 0) return nothing;
    const clear = () =>
      session.dispatch({
        type: 'all',
        commands: soloed.map(({ id }): Command => ({ type: 'set-solo', stripId: id, on: false })),
      });
    return html`<div class="solo">
      <p role="status">
        <b>Solo</b> ${soloed.map(({ name, mute }) => (mute ? `${name} (muted)` : name)).join(', ')}.
        ${soloThroughBuses ? 'The buses work on what is left.' : 'Heard before what follows; no bus is driven differently.'}
      </p>
      <div>
        <label class="switch" title="Off: solo only listens. On: the others are silent, and what is left drives the buses"
          ><input
            type="checkbox"
            role="switch"
            .checked=${live(soloThroughBuses)}
            @change=${(event: Event) =>
              session.dispatch({ type: 'set-solo-through-buses', on: (event.target as HTMLInputElement).checked })}
          /><span>Through the buses</span></label
        >
        <button class="quiet" @click=${clear}>Clear solo</button>
      </div>
    </div>`;
  }

  private onDragStart(event: DragEvent, id: RackId): void {
    event.dataTransfer?.setData('text/plain', id);
    if (event.dataTransfer) event.dataTransfer.effectAllowed = 'move';
    this.dragged = id;
  }

  private onDragEnd(): void {
    this.dragged = null;
    this.over = null;
  }

  private dropOn(target: RackId): Command | null {
    return this.dragged === null ? null : dropCommand(this.session!.document, this.dragged, target);
  }

  private onDragOver(event: DragEvent, id: RackId): void {
    if (this.dragged === null) return;
    this.over = id;
    if (this.dropOn(id)) event.preventDefault();
  }

  private onDrop(event: DragEvent, id: RackId): void {
    const command = this.dropOn(id);
    if (!command) return;
    event.preventDefault();
    this.session!.dispatch(command);
    this.onDragEnd();
  }

  private addBus(): void {
    const id = this.session!.addBus(null);
    if (id !== null) this.session!.selectRack(id);
  }

  /** One stop for Tab; the arrows choose within the list, as Home and End do, and with Alt they move the chosen row. */
  private async onKey(event: KeyboardEvent, list: readonly Place[]): Promise<void> {
    if (!(event.target instanceof HTMLButtonElement) || !event.target.dataset.rack || event.ctrlKey || event.metaKey)
      return;
    const session = this.session!;
    const at = list.findIndex(({ id }) => id === session.selectedRack);
    const to = target(event.key, at, list.length - 1, this.narrow);
    if (to === null) return;
    event.preventDefault();
    if (event.altKey) {
      const step = to === at ? 0 : Math.sign(to - at);
      const command = moveCommand(session.document, session.selectedRack, step, Math.abs(to - at) > 1);
      if (command) session.dispatch(command);
    } else {
      session.selectRack(list[to].id);
    }
    this.requestUpdate();
    await this.updateComplete;
    const button = this.renderRoot.querySelector<HTMLButtonElement>('button[data-rack][tabindex="0"]');
    button?.focus();
    button?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
  }
}

/** Small letters that say M and S, and all of it to a screen reader. Tab reaches those of the chosen row. */
function renderStrip({ id, name, mute, solo }: Channel | Bus, chosen: boolean, dispatch: (command: Command) => void) {
  const stop = chosen ? 0 : -1;
  return html`<button
      class="letter"
      aria-label=${`Mute ${name}`}
      title=${`Mute ${name}${chosen ? ' (Shift M)' : ''}`}
      aria-pressed=${mute}
      tabindex=${stop}
      @click=${() => dispatch({ type: 'set-mute', stripId: id, on: !mute })}
    >
      M</button
    ><button
      class="letter"
      aria-label=${`Solo ${name}`}
      title=${`Solo ${name}${chosen ? ' (Shift S)' : ''}`}
      aria-pressed=${solo}
      tabindex=${stop}
      @click=${() => dispatch({ type: 'set-solo', stripId: id, on: !solo })}
    >
      S
    </button>`;
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
      .map((strip): Place => ({ ...shown(strip), kind: 'channel', inBus: busId !== null }));
  return [
    ...buses.flatMap((bus): Place[] => [{ ...shown(bus), kind: 'bus', inBus: false }, ...channel(bus.id)]),
    ...channel(null),
    { id: MIX_ID, name: 'Mix', kind: 'mix', inBus: false, rack: mix.rack, strip: null },
  ];
}

function shown(strip: Channel | Bus): Pick<Place, 'id' | 'name' | 'rack' | 'strip'> {
  const { id, name, rack } = strip;
  return { id, name, rack, strip };
}

declare global {
  interface HTMLElementTagNameMap {
    'signal-path': SignalPath;
  }
}
