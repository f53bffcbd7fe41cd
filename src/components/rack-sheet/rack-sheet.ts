import { consume } from '@lit/context';
import { html, LitElement, nothing, type PropertyValues } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import { repeat } from 'lit/directives/repeat.js';
import { styleMap } from 'lit/directives/style-map.js';
import { stageKinds } from '../../engine/stages/catalogue.ts';
import { CURRENT, findRack, isOnASide, type Rack, type SessionDocument } from '../../session/document.ts';
import type { AnalysisStore, RackFigures } from '../../stores/analysis-store.ts';
import { isStale } from '../../stores/analysis-store.ts';
import type { PlayerStore } from '../../stores/player-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { callout } from '../base/callout.styles.ts';
import { figureList } from '../base/figure-list.styles.ts';
import { analysisContext, playerContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { icons } from '../icons/icons.ts';
import '../level-diagram/level-diagram.ts';
import { levelRange } from '../level-diagram/level-path.ts';
import '../level-panel/level-panel.ts';
import { compared } from '../matched-switch/compared.ts';
import '../matched-switch/matched-switch.ts';
import '../note-field/note-field.ts';
import '../peak-meter/peak-meter.ts';
import '../rack-copy/rack-copy.ts';
import '../rack-routing/rack-routing.ts';
import '../stage-column/stage-column.ts';
import { layColumns } from './columns.ts';
import { onPath, rackName, sideList, whereTo } from './rack-facts.ts';
import '../starting-points/starting-points.ts';
import type { StartingPointList } from '../starting-points/starting-points.ts';
import { styles } from './rack-sheet.styles.ts';

const MOST_STAGES = 8;

/** The chosen rack as one sheet of columns from In to Out, with the level diagram across the top. */
@customElement('rack-sheet')
export class RackSheet extends LitElement {
  static override styles = [base, callout, figureList, styles];

  @store(sessionContext) private session?: SessionStore;
  @store(analysisContext) private analysis?: AnalysisStore;
  @consume({ context: playerContext, subscribe: true }) private player?: PlayerStore;
  /** One column after the other on a narrow screen, where the switch itself stands beside Play. */
  @property({ type: Boolean, reflect: true }) narrow = false;
  @state() private width = 0;
  @query('.scroller') private scroller?: HTMLElement;
  @query('.ruler') private ruler?: HTMLElement;
  @query('starting-points') private points?: StartingPointList;
  #shownRack = '';
  #observed: HTMLElement | undefined;
  readonly #resize = new ResizeObserver(([entry]) => {
    this.width = Math.floor(entry.contentRect.width);
  });

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#resize.disconnect();
    this.#observed = undefined;
  }

  override updated(_changed: PropertyValues<this>): void {
    const { scroller, ruler } = this;
    if (ruler && ruler !== this.#observed) {
      this.#resize.disconnect();
      this.#resize.observe(ruler);
      this.#observed = ruler;
    }
    const rackId = this.session?.selectedRack ?? '';
    if (rackId !== this.#shownRack) {
      this.#shownRack = rackId;
      if (scroller) scroller.scrollLeft = 0;
    }
  }

  override render() {
    if (!this.session) return nothing;
    const { document, selectedRack } = this.session;
    const rack = findRack(document, selectedRack);
    if (!rack) return html`<p class="none">Choose a rack in the signal path.</p>`;
    const figures = this.analysis?.rack(selectedRack);
    return html`<section aria-label=${`Rack of ${rackName(document, selectedRack)}`}>
      ${this.renderHeader(document, rack)} ${this.renderUnheard(document)} ${this.renderBody(rack, figures)}
    </section>`;
  }

  private renderHeader(document: SessionDocument, rack: Rack) {
    const rackId = this.session!.selectedRack;
    const name = rackName(document, rackId);
    return html`<header>
      <h2>${name} <small>${whereTo(document, rackId)}</small></h2>
      <label class="switch"
        ><span>Rack ${rack.on ? 'on' : 'off'}</span
        ><input
          type="checkbox"
          role="switch"
          aria-label=${`Rack of ${name} on`}
          .checked=${live(rack.on)}
          @change=${(event: Event) =>
            this.session!.dispatch({ type: 'set-rack-on', rackId, on: (event.target as HTMLInputElement).checked })}
      /></label>
      <ul class="legend" aria-label="Lines of the level diagram">
        <li><i class="coloured"></i>true peak, dBTP</li>
        <li><i class="coloured dashed"></i>loudness, LUFS</li>
        <li><i class="clean"></i>as it came in</li>
        <li><i class="tick"></i>1 % THD</li>
      </ul>
    </header>`;
  }

  /** Scenes on the sides of the switch take this rack's place: its controls move nothing that is heard. */
  private renderUnheard(document: SessionDocument) {
    if (isOnASide(document, this.session!.selectedRack)) return nothing;
    const { a, b } = compared(document);
    return html`<p class="callout coloured unheard" role="status">
      <span>This rack as it stands isn’t heard: the switch compares <b>${a}</b> and <b>${b}</b>.</span>
      <button title="Puts all racks as they are now on side B of the switch, and listens to it" @click=${this.hear}>
        Hear it
      </button>
    </p>`;
  }

  private hear(): void {
    this.session!.dispatch({ type: 'set-sides', b: CURRENT });
    this.player?.setSide('coloured');
  }

  private renderBody(rack: Rack, figures: RackFigures | undefined) {
    const stages = rack.stages.map((stage) => onPath(stage, rack, figures));
    const taps = figures?.taps ?? [];
    const output = figures?.output ?? null;
    const range = levelRange([
      ...taps.flatMap((tap) => [tap.truePeakDbtp, tap.integratedLufs]),
      output?.truePeakDbtp ?? null,
      output?.integratedLufs ?? null,
      ...taps.map((tap, i) => (tap.truePeakDbtp === null ? null : tap.truePeakDbtp + (stages[i]?.trimInDb ?? 0))),
    ]);
    const rem = Number.parseFloat(getComputedStyle(this.ownerDocument.documentElement).fontSize);
    const columns = layColumns(this.width, rack.stages.length, rem, this.narrow);
    const stale = isStale(this.analysis);
    const working = this.analysis?.status === 'working';
    const height = Math.round(this.narrow ? 11 * rem : Math.max(12.5 * rem, Math.min(18 * rem, 0.17 * innerHeight)));
    return html`<div class="body">
      <div class="scroller" tabindex=${columns.scrolls ? 0 : nothing} role="group" aria-label="From In to the match">
        <div class="ruler"></div>
        <level-diagram
          .taps=${taps}
          .stages=${stages}
          .output=${output}
          .range=${range}
          .height=${height}
          .stretches=${columns.stretches}
          .reason=${figures?.reason ?? (taps.length > 0 ? null : working ? 'Being measured…' : 'Not measured yet.')}
          .stale=${stale}
        ></level-diagram>
        <div class="columns" style=${styleMap({ 'grid-template-columns': columns.template })}>
          ${this.renderIn(figures, stale)}
          ${repeat(
            rack.stages,
            ({ id }) => id,
            (stage, index) => html`<stage-column
              .rackId=${this.session!.selectedRack}
              .stage=${stage}
              .index=${index}
              .count=${rack.stages.length}
              .face=${figures?.faces.find(({ stageId }) => stageId === stage.id)}
              .stale=${stale}
              class=${rack.on ? '' : 'rack-off'}
            ></stage-column>`,
          )}
          ${this.renderCatalogue(rack)}
        </div>
      </div>
      ${this.renderOut(range, height)}
    </div>`;
  }

  private renderIn(figures: RackFigures | undefined, stale: boolean) {
    return html`<section class="in" aria-label="In">
      <h3>In</h3>
      <dl class=${stale ? 'stale' : 'fresh'}>${sideList(figures?.input ?? null, figures?.reason ?? null)}</dl>
      <level-panel show="input" .rackId=${this.session!.selectedRack}></level-panel>
    </section>`;
  }

  private renderCatalogue(rack: Rack) {
    const { session } = this;
    const full = rack.stages.length >= MOST_STAGES;
    const empty = rack.stages.length === 0;
    return html`<section class="catalogue ${empty ? 'wide' : ''}" aria-label="Add a stage">
      <h3>${empty ? 'No stages yet' : 'Add a stage'}</h3>
      ${empty ? html`<p>What comes in goes out, bit for bit. Add the first stage:</p>` : nothing}
      ${full ? html`<p>A rack holds at most ${MOST_STAGES} stages.</p>` : nothing}
      <ul>
        ${stageKinds.map(
          ({ id, label, about }) => html`<li>
            <button
              class="quiet"
              title=${about}
              ?disabled=${full}
              @click=${() => this.add(session!.selectedRack, id)}
            >
              ${icons.add}<span>${label}</span></button
            >${empty ? html`<small>${about}</small>` : nothing}
          </li>`,
        )}
      </ul>
      <button title="Racks for typical jobs, and your own; each is measured before it is taken" @click=${() => this.points?.show(session!.selectedRack)}>
        Starting points…
      </button>
      <starting-points></starting-points>
    </section>`;
  }

  private renderOut(range: readonly [number, number], height: number) {
    const { document, selectedRack: rackId } = this.session!;
    return html`<section class="out" aria-label="Out">
      ${
        this.narrow
          ? nothing
          : html`<div class="levels" style=${styleMap({ height: `${height}px` })}>
              <peak-meter .rackId=${rackId} .range=${range}></peak-meter>
              <level-panel .rackId=${rackId}></level-panel>
            </div>`
      }
      <div class="out-body">
        <h3>Out</h3>
        ${this.narrow ? html`<level-panel .rackId=${rackId}></level-panel>` : nothing}
        <matched-switch show=${this.narrow ? 'figures' : 'all'}></matched-switch>
        <rack-routing .rackId=${rackId}></rack-routing>
        <rack-copy .rackId=${rackId}></rack-copy>
        <note-field
          fold
          label=${`Notes on ${rackName(document, rackId)}`}
          .place=${{ kind: 'rack', rackId } as const}
          .notes=${findRack(document, rackId)?.notes ?? ''}
        ></note-field>
      </div>
    </section>`;
  }

  /** Adds the stage and brings it into view. */
  private async add(rackId: string, kind: string): Promise<void> {
    const stageId = this.session!.addStage(rackId, kind);
    await this.updateComplete;
    const columns = [...this.renderRoot.querySelectorAll('stage-column')];
    columns.find(({ stage }) => stage.id === stageId)?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'rack-sheet': RackSheet;
  }
}
