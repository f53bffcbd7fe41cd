import { consume } from '@lit/context';
import { html, LitElement, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import '../analyser-settings/analyser-settings.ts';
import type { AnalysisStore } from '../../stores/analysis-store.ts';
import type { LiveFrame, LiveStore } from '../../stores/live-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { figureTable } from '../base/figure-table.styles.ts';
import { plot } from '../base/plot.styles.ts';
import { CanvasSheet } from '../canvas/canvas-sheet.ts';
import { analysisContext, liveContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { sideWords } from '../matched-switch/compared.ts';
import { drawSpectrum } from './draw-spectrum.ts';
import { LowNotes } from './low-notes.ts';
import { cursorRange, movedCursor, readingText } from './spectrum-cursor.ts';
import { styles } from './spectrum-plot.styles.ts';
import { spectrumTable } from './spectrum-table.ts';
import { DEFAULT_VIEW, SpectrumScale, type SpectrumView } from './spectrum-view.ts';
import { dcText, missingText, slowText, stateText, unitText } from './spectrum-words.ts';

/** Figures change slowly enough to be read. */
const TEXT_INTERVAL_MS = 400;
/**
 * The live spectrum of the chosen rack's output on both sides, and what was added; DC stands apart. A cursor reads it;
 * the low band tells bass, slow products and DC from each other. Drawn outside Lit's cycle.
 */
@customElement('spectrum-plot')
export class SpectrumPlot extends LitElement {
  static override styles = [base, figureTable, plot, styles];

  @store(liveContext) private live?: LiveStore;
  @consume({ context: analysisContext, subscribe: true }) private analysis?: AnalysisStore;
  @store(sessionContext) private session?: SessionStore;
  @property() rackId = '';
  @property() rackName = '';
  @property({ type: Boolean, reflect: true }) settings = false;
  @state() private view: SpectrumView = DEFAULT_VIEW;
  @state() private asTable = false;
  @state() private message: string | null = null;
  @query('canvas') private canvas!: HTMLCanvasElement | null;
  @query('.cursor') private cursor!: HTMLElement | null;
  @query('.reading') private reading!: HTMLElement;
  @query('.dc') private dc!: HTMLElement;
  @query('.slow') private slow!: HTMLElement;
  @query('.note') private note!: HTMLElement;
  @query('.state') private state!: HTMLElement;
  readonly #sheet = new CanvasSheet(
    this,
    () => this.canvas,
    (context, width, height) => {
      if (!this.#scale?.fits(width, height, this.view)) this.#scale = new SpectrumScale(width, height, this.view);
      drawSpectrum(context, this.#scale, this.frame, this.#cursorHz, this.#sheet);
    },
  );
  #scale: SpectrumScale | null = null;
  #cursorHz: number | null = null;
  #release: (() => void) | undefined;
  #textAt = 0;
  readonly #notes = new LowNotes();

  override connectedCallback(): void {
    super.connectedCallback();
    if (this.hasUpdated) this.requestUpdate();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#release?.();
    this.#release = undefined;
  }

  override willUpdate(): void {
    this.message = this.#missing;
  }

  override updated(): void {
    this.#release?.();
    this.#release = this.live?.onFrame(() => this.#onFrame());
    this.#sheet.redraw();
    this.#write();
  }

  /** What the two sides are called. */
  private get sides() {
    return sideWords(this.session?.document);
  }

  /** The latest frame, if it is of the rack on show. */
  private get frame(): LiveFrame | null {
    const frame = this.live?.latest ?? null;
    return frame && frame.rackId === this.rackId ? frame : null;
  }

  /** What the plot reads from: the whole spectrum or the low band; null while there is none. */
  private get band() {
    const { frame } = this;
    return this.view.lowBand ? (frame?.lowBand ?? null) : frame;
  }

  /** Why there is nothing to see; null when there is. */
  get #missing(): string | null {
    return missingText(this.frame, this.view, this.live?.fault ?? null);
  }

  override render() {
    const { view, asTable, sides } = this;
    return html`
      <div class="heading">
        <h2>${view.lowBand ? 'Low band' : 'Spectrum'} <small>${this.rackName} out, ${unitText(view, this.live?.settings.scale === 'density')}</small></h2>
        <div class="tools">
          <span class="key" title=${sides.a}><i class="clean"></i><span>${sides.a}</span></span>
          <span class="key" title=${sides.b}><i class="coloured"></i><span>${sides.b}</span></span>
          <span class="key"><i class="added"></i>${sides.third}</span>
          <span class="buttons">
            <button
              class="quiet low"
              title="0.5 to 60 Hz: bass, slow products and DC told apart"
              aria-pressed=${view.lowBand}
              @click=${() => this.#draw({ ...view, lowBand: !view.lowBand })}
            >
              Low band
            </button>
            <button
              class="quiet set"
              aria-expanded=${this.settings}
              aria-controls="settings"
              @click=${() => (this.settings = !this.settings)}
            >
              Analyser
            </button>
            <button class="quiet table" aria-pressed=${asTable} @click=${() => (this.asTable = !asTable)}>Table</button>
          </span>
        </div>
      </div>
      <div id="settings" ?hidden=${!this.settings}>
        ${
          this.settings
            ? html`<analyser-settings
                .view=${view}
                @view-change=${(event: CustomEvent<SpectrumView>) => this.#draw(event.detail)}
              ></analyser-settings>`
            : nothing
        }
      </div>
      <p class="figures">
        <span class="reading" ?hidden=${asTable}></span>
        <span class="low-figures"
          ><span class="dc" title="Measured apart from the spectrum: DC isn't bass"></span
          ><span class="slow" title="Added power from 0.5 to 15 Hz: what asymmetry makes of the envelope"></span
        ></span>
      </p>
      <p class="notes"><span class="note"></span><span class="state" title="Blocks that the computer was too busy for are left out of the picture"></span></p>
      <div class="plot">${asTable ? spectrumTable(this.frame, this.view.lowBand, this.analysis?.toneFrequencies ?? [], this.sides) : this.renderPlot()}</div>
    `;
  }

  private renderPlot() {
    const span = this.view.lowBand ? '0.5 to 60 Hz, linear' : '20 Hz to 20 kHz';
    const [low, high, first] = cursorRange(this.view.lowBand);
    return html`<canvas role="img" aria-label=${`Spectrum from ${span}. The table has its figures.`}></canvas>
      ${this.message ? html`<div class="message"><span>${this.message}</span></div>` : nothing}
      <div
        class="cursor"
        role="slider"
        tabindex="0"
        aria-label="Cursor on the spectrum"
        aria-valuemin=${low}
        aria-valuemax=${high}
        aria-valuenow=${first}
        title="Reads the curves: move the pointer, or ← → (Shift: finely), Page keys, Enter for the strongest tone"
        @pointermove=${this.#onPointer}
        @pointerdown=${this.#onPointer}
        @pointerleave=${this.#onLeave}
        @focus=${this.#onFocus}
        @blur=${this.#onLeave}
        @keydown=${this.#onKey}
      ></div>`;
  }

  #draw(view: SpectrumView): void {
    if (view.lowBand !== this.view.lowBand) this.#cursorHz = null;
    this.view = view;
  }

  #onFrame(): void {
    if (this.#missing !== this.message) this.requestUpdate();
    const now = performance.now();
    if (now - this.#textAt > TEXT_INTERVAL_MS || !this.frame || this.frame.stopped) {
      this.#textAt = now;
      this.#write();
      if (this.asTable) this.requestUpdate();
    }
    if (!this.asTable) this.#sheet.redraw();
  }

  readonly #onPointer = (event: PointerEvent): void => {
    if (!this.#scale || !this.canvas) return;
    this.#moveTo(this.#scale.hz(event.clientX - this.canvas.getBoundingClientRect().left));
  };

  readonly #onLeave = (): void => {
    if (this.cursor && this.shadowRoot?.activeElement === this.cursor) return;
    this.#moveTo(null);
  };

  readonly #onFocus = (): void => {
    if (this.#cursorHz === null) this.#moveTo(this.#startHz());
  };

  #startHz(): number {
    const [, , first] = cursorRange(this.view.lowBand);
    return this.view.lowBand ? first : (this.frame?.tone?.hz ?? first);
  }

  readonly #onKey = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const now = this.#cursorHz ?? this.#startHz();
    const to = movedCursor(event, now, this.view.lowBand, this.frame?.tone?.hz);
    if (to === undefined) return;
    event.preventDefault();
    this.#moveTo(to);
  };

  #moveTo(hz: number | null): void {
    this.#cursorHz = hz;
    this.#sheet.redraw();
    this.#writeReading();
  }

  /** Written past Lit, like the plot. */
  #write(): void {
    const { frame, sides } = this;
    this.dc.textContent = dcText(frame, sides);
    this.slow.textContent = slowText(frame);
    const note = this.#notes.take(frame, performance.now());
    if (this.note.textContent !== note) this.note.textContent = note;
    this.note.title = note;
    this.state.textContent = stateText(frame);
    this.#writeReading();
  }

  #writeReading(): void {
    const hz = this.#cursorHz;
    const { band, reading, cursor } = this;
    if (hz === null) {
      reading.textContent = '';
      cursor?.setAttribute('aria-valuetext', 'no frequency chosen');
      return;
    }
    const text = readingText(hz, band, this.view.lowBand, this.sides);
    reading.textContent = text;
    cursor?.setAttribute('aria-valuenow', hz.toPrecision(5));
    cursor?.setAttribute('aria-valuetext', text);
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'spectrum-plot': SpectrumPlot;
  }
}
