import { html, LitElement, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { classMap } from 'lit/directives/class-map.js';
import type { Command } from '../../session/commands.ts';
import type { RackId } from '../../session/document.ts';
import type { AnalysisStore } from '../../stores/analysis-store.ts';
import { isStale } from '../../stores/analysis-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { analysisContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { icons } from '../icons/icons.ts';
import { switchMany } from './many.ts';
import './path-actions.ts';
import { type PathRow, places } from './places.ts';
import { dropMany, moveCommand } from './reorder.ts';
import { renderFigures, renderMixing, renderOn, renderStrip } from './row-cells.ts';
import { rowMove, target } from './row-keys.ts';
import { kept, only, rangeTo, type Selection, toggled } from './selection.ts';
import { styles } from './signal-path.styles.ts';
import { renderSolo } from './solo-words.ts';

/**
 * The racks in the order sound takes them: buses with their channels, channels straight into the mix, the mix. Several
 * rows can be selected and dragged.
 */
@customElement('signal-path')
export class SignalPath extends LitElement {
  static override styles = [base, styles];

  @store(sessionContext, (session) => session.files) private session?: SessionStore;
  @store(analysisContext) private analysis?: AnalysisStore;
  /** A strip that scrolls sideways, for narrow screens. */
  @property({ type: Boolean, reflect: true }) narrow = false;
  /** Gain and bus in the rows, in place of what the racks do. */
  @state() private mixing = false;
  @state() private selection: Selection = only('');
  @state() private dragged: readonly RackId[] = [];
  @state() private over: RackId | null = null;
  @query('.scroller') private scroller?: HTMLElement;
  @query('input[type=file]') private picker?: HTMLInputElement;
  /** The channel whose file is looked for. */
  #wanting: string | null = null;
  #shown: RackId | undefined;

  override willUpdate(): void {
    if (!this.session) return;
    const { document, selectedRack } = this.session;
    this.selection = kept(
      this.selection,
      selectedRack,
      places(document).map(({ id }) => id),
    );
  }

  override updated(): void {
    const shown = this.session?.selectedRack;
    if (shown === this.#shown) return;
    this.#shown = shown;
    this.bringIntoView(shown);
  }

  override render() {
    if (!this.session) return nothing;
    const { document, selectedRack } = this.session;
    const list = places(document);
    const stale = isStale(this.analysis);
    return html`<section aria-labelledby="heading">
      <div class="heading">
        <h2 id="heading">Signal path</h2>
        <p class="small count" role="status">${this.selection.ids.size < 2 ? nothing : `${this.selection.ids.size} selected`}</p>
        ${this.narrow ? nothing : this.renderTools()}
      </div>
      <div class="scroller">
        <table
          role="grid"
          aria-labelledby="heading"
          aria-multiselectable="true"
          @keydown=${(event: KeyboardEvent) => this.onKey(event, list)}
        >
          <thead>
            <tr>
              <th scope="col"><span class="hidden">Rack</span></th>
              ${
                this.mixing
                  ? html`<th scope="col" class="gain">gain dB</th>
                      <th scope="col" class="into">into</th>`
                  : html`<th scope="col" class="stages"><span>stages</span></th>
                      <th scope="col" class="plr" title="Change of the peak to loudness ratio by the rack, dB">PLR dB</th>`
              }
              <th scope="col" class="strip"><span class="hidden">Mute and solo</span></th>
              ${this.mixing ? nothing : html`<th scope="col" class="on"><span class="hidden">On</span></th>`}
            </tr>
          </thead>
          <tbody>
            ${list.map((place) => this.renderRow(place, place.id === selectedRack, stale))}
          </tbody>
        </table>
      </div>
      ${
        this.narrow
          ? nothing
          : html`<path-actions .rows=${list.filter(({ id }) => this.selection.ids.has(id))}></path-actions>`
      }
      ${renderSolo(this.session, list)}
      <input type="file" hidden aria-label="The channel's file" @change=${this.onFound} />
    </section>`;
  }

  private renderTools() {
    return html`<span class="tools">
      <button
        class="quiet"
        aria-pressed=${this.mixing}
        title="Gain and bus of every channel, in its row"
        @click=${() => {
          this.mixing = !this.mixing;
        }}
      >
        Gain
      </button>
      <button class="quiet" title="Adds an empty bus" @click=${() => this.addBus()}>
        ${icons.add}<span>Bus</span>
      </button>
    </span>`;
  }

  private renderRow(place: PathRow, chosen: boolean, stale: boolean) {
    const { id, name, kind, inBus, rack, strip } = place;
    const selected = this.selection.ids.has(id);
    const classes = {
      [kind]: true,
      'in-bus': inBus,
      chosen,
      selected,
      off: !rack.on,
      muted: strip?.mute ?? false,
      switched: (strip?.mute || strip?.solo) ?? false,
      lost: this.session?.files.missing.has(id) ?? false,
      target: this.over === id && this.dropOn(id) !== null,
    };
    return html`<tr
      class=${classMap(classes)}
      aria-selected=${selected}
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
          title=${name}
          @click=${(event: MouseEvent) => this.onClick(event, id)}
        >
          ${name}
        </button>
        ${this.session?.files.missing.has(id) ? this.renderMissing(id, name, strip) : nothing}
      </th>
      ${this.mixing && !this.narrow ? renderMixing(this.session!, place, chosen) : renderFigures(place, this.analysis?.rack(id), stale)}
      <td class="strip">${strip ? renderStrip(strip, chosen, (command) => this.session?.dispatch(command)) : nothing}</td>
      ${this.mixing && !this.narrow ? nothing : renderOn(this.session!, place)}
    </tr>`;
  }

  /** The channel's sound is not here: what it was, and the way to bring it back. */
  private renderMissing(id: RackId, name: string, strip: PathRow['strip']) {
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

  private onDragStart(event: DragEvent, id: RackId): void {
    event.dataTransfer?.setData('text/plain', id);
    if (event.dataTransfer) event.dataTransfer.effectAllowed = 'move';
    this.dragged = this.selection.ids.has(id) ? this.selected() : [id];
  }

  private onDragEnd(): void {
    this.dragged = [];
    this.over = null;
  }

  private dropOn(target: RackId): Command | null {
    return this.dragged.length === 0 ? null : dropMany(this.session!.document, this.dragged, target);
  }

  private onDragOver(event: DragEvent, id: RackId): void {
    if (this.dragged.length === 0) return;
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
    const id = this.session!.addBus([]);
    if (id !== null) this.session!.selectRack(id);
  }

  /** The selected rows' ids, in their order. */
  private selected(): RackId[] {
    return places(this.session!.document).flatMap(({ id }) => (this.selection.ids.has(id) ? [id] : []));
  }

  private onClick(event: MouseEvent, id: RackId): void {
    const rows = places(this.session!.document).map((place) => place.id);
    if (event.shiftKey) this.select(rangeTo(this.selection, id, rows), id);
    else if (event.ctrlKey || event.metaKey) this.select(toggled(this.selection, id), id);
    else this.select(only(id), id);
  }

  /** The row that was last taken in is the one whose rack is shown. */
  private select(selection: Selection, last: RackId): void {
    this.selection = selection;
    this.session!.selectRack(selection.ids.has(last) ? last : ([...selection.ids].at(-1) as RackId));
  }

  /**
   * One stop for Tab; the keys choose, select and go through the list. With Alt they move the shown row; Shift M and
   * Shift S mute and solo all that is selected.
   */
  private async onKey(event: KeyboardEvent, list: readonly PathRow[]): Promise<void> {
    const focused = (event.target as HTMLElement).dataset.rack;
    if (!(event.target instanceof HTMLButtonElement) || !focused) return;
    if (event.altKey) this.onAlt(event, list);
    else if (!this.onLetter(event, list)) {
      const rows = list.map(({ id }) => id);
      const kind = (id: RackId) => list.find((place) => place.id === id)?.kind ?? '';
      const move = rowMove(event, focused, rows, this.selection, { sideways: this.narrow, kind });
      if (!move) return;
      event.preventDefault();
      if (move.selection) this.select(move.selection, move.to);
      await this.focusRow(move.to);
    }
  }

  private onAlt(event: KeyboardEvent, list: readonly PathRow[]): void {
    const session = this.session!;
    const at = list.findIndex(({ id }) => id === session.selectedRack);
    const to = target(event.key, at, list.length - 1, this.narrow);
    if (to === null) return;
    event.preventDefault();
    const step = to === at ? 0 : Math.sign(to - at);
    const command = moveCommand(session.document, session.selectedRack, step, Math.abs(to - at) > 1);
    if (command) session.dispatch(command);
    void this.focusRow(session.selectedRack);
  }

  /** One row alone is left to the keys of the whole screen. */
  private onLetter(event: KeyboardEvent, list: readonly PathRow[]): boolean {
    const what = event.key === 'M' ? 'mute' : event.key === 'S' ? 'solo' : null;
    if (!what || event.ctrlKey || event.metaKey || this.selection.ids.size < 2) return false;
    event.preventDefault();
    if (!event.repeat)
      this.session!.dispatch(
        switchMany(
          list.filter(({ id }) => this.selection.ids.has(id)),
          what,
        ),
      );
    return true;
  }

  private async focusRow(id: RackId): Promise<void> {
    this.requestUpdate();
    await this.updateComplete;
    const button = this.buttonOf(id);
    button?.focus({ preventScroll: true });
    this.bringIntoView(id);
    if (this.narrow) button?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
  }

  private buttonOf(id: RackId | undefined): HTMLElement | undefined {
    return [...this.renderRoot.querySelectorAll<HTMLElement>('button[data-rack]')].find(
      ({ dataset }) => dataset.rack === id,
    );
  }

  /** Scrolls the list, and never the page. */
  private bringIntoView(id: RackId | undefined): void {
    const { scroller } = this;
    const row = this.buttonOf(id)?.closest('tr');
    if (!scroller || !row || this.narrow) return;
    const head = scroller.querySelector('thead')?.offsetHeight ?? 0;
    const top = row.offsetTop - head;
    const bottom = row.offsetTop + row.offsetHeight - scroller.clientHeight;
    scroller.scrollTop = Math.max(bottom, Math.min(top, scroller.scrollTop));
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'signal-path': SignalPath;
  }
}
