import { html, LitElement, nothing, type PropertyValues } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { ContinuousParameter } from '../../engine/parameters.ts';
import { findRack, type Rack } from '../../session/document.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import type { BenchParameter, BenchResult, BenchStore, BenchTest, BenchTestId } from '../../stores/tone-bench-store.ts';
import { base } from '../base/base.styles.ts';
import { callout } from '../base/callout.styles.ts';
import { figureTable } from '../base/figure-table.styles.ts';
import { plot } from '../base/plot.styles.ts';
import { benchContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { figure, NO_FIGURE } from '../format/figures.ts';
import '../value-slider/value-slider.ts';
import { type BenchChart, chartOf } from './bench-charts.ts';
import { type FigureRow, figureRows } from './bench-rows.ts';
import { styles } from './bench-sheet.styles.ts';
import { floorTable, interactionTable, stackTable } from './bench-tables.ts';
import { chart } from './chart.styles.ts';

/** A drag asks for a result when it rests, not at every pixel. */
const REST_MS = 250;

/**
 * The tone bench: test signals through the chosen rack as it is set, as numbers. It never sounds and never touches what
 * plays. Runs by itself whenever the test or the rack changes.
 */
@customElement('bench-sheet')
export class BenchSheet extends LitElement {
  static override styles = [base, figureTable, callout, plot, chart, styles];

  @store(benchContext) private bench?: BenchStore;
  @store(sessionContext) private session?: SessionStore;
  @property() rackId = '';
  @property() rackName = '';
  @state() private testId: BenchTestId = 'tone';
  /** What was set, for each test by itself. */
  @state() private values: Partial<Record<BenchTestId, Record<string, number>>> = {};
  @state() private result: BenchResult | null = null;
  @state() private running = false;
  @state() private fault: string | null = null;
  @state() private asTable = false;
  @state() private size = { width: 0, height: 0 };
  @query('.plot') private plotArea!: HTMLElement | null;
  #observed: HTMLElement | null = null;
  readonly #resize = new ResizeObserver(([{ contentRect }]) => {
    this.size = { width: Math.floor(contentRect.width), height: Math.floor(contentRect.height) };
  });
  #timer: ReturnType<typeof setTimeout> | undefined;
  #serial = 0;
  #asked: readonly unknown[] = [];

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    clearTimeout(this.#timer);
    this.#resize.disconnect();
    this.#observed = null;
    this.#serial++;
    this.#asked = [];
  }

  override willUpdate(): void {
    this.#askIfChanged();
  }

  override updated(_changed: PropertyValues<this>): void {
    const { plotArea } = this;
    if (plotArea === this.#observed) return;
    this.#resize.disconnect();
    this.#observed = plotArea;
    if (plotArea) this.#resize.observe(plotArea);
  }

  override render() {
    const { bench, result } = this;
    const test = bench?.tests.find(({ id }) => id === this.testId);
    if (!bench || !test) return nothing;
    const shown = result && result.test === this.testId ? result : null;
    const chart = shown && chartOf(shown);
    return html`
      <div class="heading">
        <h2>Tone bench <small>${this.rackName} as set, from In to Out</small></h2>
        <div class="tools">
          <span class="status" role="status">${this.running ? 'measuring…' : ''}</span>
          ${this.renderKey(test)}
          ${
            chart
              ? html`<button class="quiet" aria-pressed=${this.asTable} @click=${() => (this.asTable = !this.asTable)}>
                  Table
                </button>`
              : nothing
          }
        </div>
      </div>
      <div class="bench">
        <div class="controls">
          ${this.renderTests(bench, test)}
          ${test.parameters.map((parameter) => this.renderParameter(parameter))}
          <p class="small silent">${bench.silent}</p>
        </div>
        ${this.fault ? html`<p class="callout fault" role="alert">${this.fault}</p>` : nothing}
        ${shown ? this.renderResult(shown, chart) : html`<div class="waiting">${this.fault ? nothing : 'Being measured…'}</div>`}
      </div>
    `;
  }

  private renderTests(bench: BenchStore, { about }: BenchTest) {
    return html`<div class="test">
      <label for="test">Test</label>
      <select
        id="test"
        aria-describedby="about"
        .value=${live(this.testId)}
        @change=${(event: Event) => {
          this.testId = (event.target as HTMLSelectElement).value as BenchTestId;
        }}
      >
        ${bench.tests.map(({ id, label }) => html`<option value=${id} ?selected=${id === this.testId}>${label}</option>`)}
      </select>
      <p id="about" class="small">${about}</p>
    </div>`;
  }

  private renderParameter(parameter: BenchParameter) {
    const { testId } = this;
    return html`<value-slider
      .declaration=${declarationOf(parameter)}
      .value=${this.values[testId]?.[parameter.id] ?? parameter.default}
      @value-change=${(event: CustomEvent<{ value: number }>) => {
        const own = { ...this.values[testId], [parameter.id]: event.detail.value };
        this.values = { ...this.values, [testId]: own };
      }}
    ></value-slider>`;
  }

  private renderKey({ id }: BenchTest) {
    if (id === 'floor') return nothing;
    const sweep = id === 'level-sweep' || id === 'frequency-sweep';
    const pair = id === 'smpte' || id === 'difference';
    return html`
      ${sweep ? html`<span class="key"><i class="coloured"></i>THD</span>` : nothing}
      <span class="key"><i class="mark odd"></i>odd</span>
      <span class="key"><i class="mark even"></i>even</span>
      ${pair ? html`<span class="key"><i class="cross">×</i>alias</span>` : nothing}
    `;
  }

  private renderResult(result: BenchResult, chart: BenchChart | null) {
    const rows = figureRows(result);
    return html`
      <div class="main ${this.running ? 'stale' : 'fresh'}">${chart ? this.renderChart(chart) : renderTables(result)}</div>
      <div class="figures ${this.running ? 'stale' : 'fresh'}">
        ${
          rows.length > 0
            ? html`<table>
                <caption class="hidden">
                  Figures
                </caption>
                <tbody>
                  ${rows.map(renderRow)}
                </tbody>
              </table>`
            : nothing
        }
        <p class="small">${conditions(result)}</p>
        ${result.notes.map((note) => html`<p class="small note">${note}</p>`)}
      </div>
    `;
  }

  private renderChart({ title, about, draw, table }: BenchChart) {
    const { width, height } = this.size;
    return html`<h3>${title}</h3>
      <div class="plot">
        ${
          this.asTable
            ? html`<div class="scroll" tabindex="0" role="group" aria-label=${`${title}, as a table`}>${table()}</div>`
            : width > 120 && height > 80
              ? html`<svg viewBox="0 0 ${width} ${height}" role="img" aria-label=${`${about} The table has every figure.`}>
                  ${draw(this.size)}
                </svg>`
              : nothing
        }
      </div>`;
  }

  /** Looks whether what the result depends on has changed, and if so asks anew when things have come to rest. */
  #askIfChanged(): void {
    const { bench, session, rackId, testId } = this;
    if (!bench || !session) return;
    const { document } = session;
    const rack = findRack(document, rackId);
    if (!rack) return;
    const now = [bench, rackId, testId, this.values[testId], settings(rack), document.matching, document.alignmentDbfs];
    if (now.every((part, i) => part === this.#asked[i])) return;
    const first = this.#asked.length === 0 || this.#asked[2] !== testId || this.#asked[1] !== rackId;
    this.#asked = now;
    clearTimeout(this.#timer);
    this.running = true;
    this.#timer = setTimeout(() => this.#run(), first ? 0 : REST_MS);
  }

  async #run(): Promise<void> {
    const { bench, rackId, testId } = this;
    if (!bench) return;
    const serial = ++this.#serial;
    try {
      const result = await bench.run({ rackId, test: testId, values: this.values[testId] ?? {} });
      if (serial !== this.#serial) return;
      this.result = result;
      this.fault = null;
    } catch (error) {
      if (serial !== this.#serial) return;
      this.fault = error instanceof Error ? error.message : String(error);
    }
    this.running = false;
  }
}

/** A rack's settings as a value to compare: the document may be a new object without a change to this rack. */
function settings(rack: Rack): string {
  return JSON.stringify(rack);
}

function renderTables(result: BenchResult) {
  if (result.test === 'floor') return html`<div class="tables">${floorTable(result)}</div>`;
  if (!result.stack) return html`<p class="small">This rack has nothing to tabulate.</p>`;
  return html`<div class="tables" tabindex="0" role="group" aria-label="What the stack does, as tables">
    ${stackTable(result.stack)}${interactionTable(result.stack)}
  </div>`;
}

function renderRow({ name, unit, about, text, why }: FigureRow) {
  const none = text === NO_FIGURE;
  return html`<tr title=${none ? `${about}. ${why}.` : about}>
    <th scope="row">${printed(name)} <small>${unit}</small></th>
    <td>${text}${none ? html`<span class="hidden"> ${why}</span>` : nothing}</td>
  </tr>`;
}

/** "THD_F" as it is printed. */
function printed(name: string) {
  const [head, index] = name.split('_');
  return index === undefined ? name : html`${head}<sub>${index}</sub>`;
}

/** Under what the figures were taken, with the frequencies as they were put. */
function conditions({ tones, windowSamples, oversampling, sampleRate, matchDb, points }: BenchResult): string {
  const signal = tones.map(
    ({ hz, inDbfs }) => `${figure(hz, { digits: 2 })} Hz at ${figure(inDbfs, { digits: 1 })} dBFS`,
  );
  const parts = [
    ...(signal.length > 0 ? [`Put in: ${signal.join(', ')}.`] : []),
    ...(points.length > 0 ? [`${points.length} tones.`] : []),
    `Window ${windowSamples} samples of ${figure(sampleRate / 1000, { digits: 1 })} kHz, over-sampled ${oversampling}×.`,
    `Match gain of ${figure(matchDb, { digits: 2, signed: true })} dB is in all levels.`,
  ];
  return parts.join(' ');
}

/** The control's form of a bench parameter. */
function declarationOf({ unit, ...parameter }: BenchParameter): ContinuousParameter {
  // The sliders print any unit; the engine's declarations only have no use for dBFS.
  return { ...parameter, unit: unit as ContinuousParameter['unit'], place: 'face', type: 'continuous' };
}

declare global {
  interface HTMLElementTagNameMap {
    'bench-sheet': BenchSheet;
  }
}
