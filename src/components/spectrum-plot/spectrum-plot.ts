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
import { figure } from '../format/figures.ts';
import { noteText } from '../format/note.ts';
import { sideWords } from '../matched-switch/compared.ts';
import { drawSpectrum } from './draw-spectrum.ts';
import { LowNotes } from './low-notes.ts';
import { styles } from './spectrum-plot.styles.ts';
import { spectrumTable } from './spectrum-table.ts';
import { DEFAULT_VIEW, levelAt, NOTHING_DBFS, SpectrumScale, type SpectrumView } from './spectrum-view.ts';

/** Figures change slowly enough to be read. */
const TEXT_INTERVAL_MS = 400;
const FIRST_CURSOR_HZ = 1000;
/** One key press moves the cursor by so much of an octave; with shift by a tenth. */
const OCTAVE_STEP = 1 / 48;
/** The same on the linear axis of the low band, Hz. */
const LINEAR_STEP = 0.5;

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
    this.message = this.#missing();
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
  #missing(): string | null {
    const { frame } = this;
    if (!frame) return 'Play to see the spectrum.';
    return this.view.lowBand && !frame.lowBand ? 'The low band needs 2.7 s of sound.' : null;
  }

  override render() {
    const { view, asTable, sides } = this;
    return html`
      <div class="heading">
        <h2>${view.lowBand ? 'Low band' : 'Spectrum'} <small>${this.rackName} out, ${this.unit()}</small></h2>
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
    return html`<canvas role="img" aria-label=${`Spectrum from ${span}. The table has its figures.`}></canvas>
      ${this.message ? html`<div class="message"><span>${this.message}</span></div>` : nothing}
      <div
        class="cursor"
        role="slider"
        tabindex="0"
        aria-label="Cursor on the spectrum"
        aria-valuemin=${this.view.lowBand ? 0 : 20}
        aria-valuemax=${this.view.lowBand ? 60 : 20_000}
        aria-valuenow=${this.view.lowBand ? 30 : FIRST_CURSOR_HZ}
        title="Reads the curves: move the pointer, or ← → (Shift: finely), Page keys, Enter for the strongest tone"
        @pointermove=${this.#onPointer}
        @pointerdown=${this.#onPointer}
        @pointerleave=${this.#onLeave}
        @focus=${this.#onFocus}
        @blur=${this.#onLeave}
        @keydown=${this.#onKey}
      ></div>`;
  }

  private unit(): string {
    const { lowBand, slopeDb } = this.view;
    const density = !lowBand && this.live?.settings.scale === 'density';
    const tilt = slopeDb > 0 && !lowBand ? `, tilted ${slopeDb} dB per octave` : '';
    return `${density ? 'dBFS in 1 Hz' : 'dBFS'}${tilt}`;
  }

  #draw(view: SpectrumView): void {
    if (view.lowBand !== this.view.lowBand) this.#cursorHz = null;
    this.view = view;
  }

  #onFrame(): void {
    if (this.#missing() !== this.message) this.requestUpdate();
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
    if (this.view.lowBand) return 30;
    return this.frame?.tone?.hz ?? FIRST_CURSOR_HZ;
  }

  readonly #onKey = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const { lowBand } = this.view;
    const [low, high] = lowBand ? [0, 60] : [20, 20_000];
    const now = this.#cursorHz ?? this.#startHz();
    const step = (steps: number) => {
      const share = event.shiftKey ? steps / 10 : steps;
      return lowBand ? now + LINEAR_STEP * share : now * 2 ** (OCTAVE_STEP * share);
    };
    const tone = this.frame?.tone?.hz;
    const moves: Record<string, () => number | null> = {
      ArrowRight: () => step(1),
      ArrowUp: () => step(1),
      ArrowLeft: () => step(-1),
      ArrowDown: () => step(-1),
      PageUp: () => (lowBand ? now + 5 : now * 2),
      PageDown: () => (lowBand ? now - 5 : now / 2),
      Home: () => low,
      End: () => high,
      Enter: () => (lowBand ? now : (tone ?? now)),
      Delete: () => null,
    };
    const move = moves[event.key];
    if (!move) return;
    event.preventDefault();
    const to = move();
    this.#moveTo(to === null ? null : Math.min(high, Math.max(low, to)));
  };

  #moveTo(hz: number | null): void {
    this.#cursorHz = hz;
    this.#sheet.redraw();
    this.#writeReading();
  }

  /** Written past Lit, like the plot. */
  #write(): void {
    const { frame } = this;
    const text = (db: number | null | undefined) =>
      figure(typeof db !== 'number' || db <= NOTHING_DBFS ? null : db, { digits: 0 });
    this.dc.textContent = frame
      ? `DC apart: ${this.sides.a} ${text(frame.cleanDcDbfs)}, ${this.sides.b} ${text(frame.colouredDcDbfs)} dBFS`
      : '';
    this.slow.textContent = frame ? `slow products ${text(frame.slowProductsDbfs)} dBFS` : '';
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
    const at = (values: Float32Array | undefined) =>
      figure(band && values ? levelAt(band.frequencies, values, hz, this.view.lowBand) : null, { digits: 1 });
    const place = `${figure(hz, { digits: hz < 100 ? 1 : 0 })} Hz`;
    const note = noteText(hz);
    const { a, b, third } = this.sides;
    const text = `${place}${note ? `, ${note}` : ''}: ${a} ${at(band?.clean)}, ${b} ${at(band?.coloured)}, ${third} ${at(band?.added)}`;
    reading.textContent = text;
    cursor?.setAttribute('aria-valuenow', hz.toPrecision(5));
    cursor?.setAttribute('aria-valuetext', text);
  }
}

/** How far the picture is of now: what a busy computer left out of it, and whether sound has stopped. */
function stateText(frame: LiveFrame | null): string {
  if (!frame) return '';
  const { missedBlocks: missed, waiting, stopped } = frame;
  const blocks = missed > 0 ? `${missed} ${missed === 1 ? 'block' : 'blocks'} missed` : '';
  const state = stopped ? 'as it was last' : waiting ? 'picture waits' : '';
  return [blocks, state].filter(Boolean).join(', ');
}

declare global {
  interface HTMLElementTagNameMap {
    'spectrum-plot': SpectrumPlot;
  }
}
