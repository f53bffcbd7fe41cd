import { consume } from '@lit/context';
import { html, LitElement, nothing } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { base } from '../base/base.styles.ts';
import { plot } from '../base/plot.styles.ts';
import { CanvasSheet } from '../canvas/canvas-sheet.ts';
import { type AnalysisStore, analysisContext, type LiveFrame, type LiveStore, liveContext } from '../context/stores.ts';
import { figure, hertz } from '../format/figures.ts';
import { drawSpectrum } from './draw-spectrum.ts';
import { styles } from './spectrum-plot.styles.ts';

/** Below this a level is nothing. */
const NOTHING_DBFS = -150;
const TABLE_INTERVAL_MS = 500;

/** The live spectrum of the chosen rack's output on both sides, and what was added; DC stands apart. */
@customElement('spectrum-plot')
export class SpectrumPlot extends LitElement {
  static override styles = [base, plot, styles];

  @consume({ context: liveContext, subscribe: true }) private live?: LiveStore;
  @consume({ context: analysisContext, subscribe: true }) private analysis?: AnalysisStore;
  @property() rackId = '';
  @property() rackName = '';
  @state() private asTable = false;
  @state() private hasFrame = false;
  @query('canvas') private canvas!: HTMLCanvasElement | null;
  @query('.dc') private dc!: HTMLElement;
  readonly #sheet = new CanvasSheet(
    this,
    () => this.canvas,
    (context, width, height) => drawSpectrum(context, width, height, this.frame, this.#sheet),
  );
  #release: (() => void) | undefined;
  #textAt = 0;

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
    this.hasFrame = this.frame !== null;
  }

  override updated(): void {
    this.#release?.();
    this.#release = this.live?.onFrame(() => this.#onFrame());
    this.#sheet.redraw();
    this.#writeDc();
  }

  /** The latest frame, if it is of the rack on show. */
  private get frame(): LiveFrame | null {
    const frame = this.live?.latest ?? null;
    return frame && frame.rackId === this.rackId ? frame : null;
  }

  override render() {
    return html`
      <div class="heading">
        <h2>Spectrum <small>${this.rackName} out, dBFS</small></h2>
        <div class="tools">
          <span class="key"><i class="clean"></i>clean</span>
          <span class="key"><i class="coloured"></i>coloured</span>
          <span class="key"><i class="added"></i>added</span>
          <button class="quiet" aria-pressed=${this.asTable} @click=${() => (this.asTable = !this.asTable)}>Table</button>
        </div>
      </div>
      <div class="plot">
        ${
          this.asTable
            ? this.renderTable()
            : html`<canvas role="img" aria-label="Spectrum from 20 Hz to 20 kHz. The table has its figures."></canvas>
                ${this.hasFrame ? nothing : html`<div class="message"><span>Play to see the spectrum.</span></div>`}`
        }
        <p class="dc" ?hidden=${this.asTable || !this.hasFrame} title="Measured apart from the spectrum: DC isn't bass"></p>
      </div>
    `;
  }

  private renderTable() {
    const { frame } = this;
    const at = (values: Float32Array | undefined, frequency: number) => {
      if (!frame || !values) return null;
      const db = values[nearest(frame.frequencies, frequency)];
      return db > NOTHING_DBFS ? db : null;
    };
    const cell = (db: number | null) => html`<td>${figure(db, { digits: 1 })}</td>`;
    return html`<div class="scroll" tabindex="0" role="group" aria-label="Spectrum as a table">
      <table>
        <thead>
          <tr>
            <th scope="col">Hz</th>
            <th scope="col">clean</th>
            <th scope="col">coloured</th>
            <th scope="col">added</th>
          </tr>
        </thead>
        <tbody>
          ${(this.analysis?.toneFrequencies ?? []).map(
            (frequency) => html`<tr>
              <th scope="row">${hertz(frequency)}</th>
              ${cell(at(frame?.clean, frequency))}${cell(at(frame?.coloured, frequency))}${cell(at(frame?.added, frequency))}
            </tr>`,
          )}
        </tbody>
      </table>
    </div>`;
  }

  #onFrame(): void {
    if ((this.frame !== null) !== this.hasFrame) this.requestUpdate();
    const now = performance.now();
    if (now - this.#textAt > TABLE_INTERVAL_MS) {
      this.#textAt = now;
      this.#writeDc();
      if (this.asTable) this.requestUpdate();
    }
    if (!this.asTable) this.#sheet.redraw();
  }

  /** Written past Lit, like the plot. */
  #writeDc(): void {
    const { frame } = this;
    const text = (db: number | undefined) =>
      figure(db === undefined || db <= NOTHING_DBFS ? null : db, { digits: 0, unit: 'dBFS' });
    this.dc.textContent = `DC apart: clean ${text(frame?.cleanDcDbfs)}, coloured ${text(frame?.colouredDcDbfs)}`;
  }
}

/** Index of the point nearest to a frequency; the points ascend. */
function nearest(frequencies: Float32Array, frequency: number): number {
  let best = 0;
  for (let i = 1; i < frequencies.length; i++) {
    if (Math.abs(frequencies[i] - frequency) < Math.abs(frequencies[best] - frequency)) best = i;
  }
  return best;
}

declare global {
  interface HTMLElementTagNameMap {
    'spectrum-plot': SpectrumPlot;
  }
}
