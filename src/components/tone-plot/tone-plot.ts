import { scaleBand, scaleLinear } from 'd3-scale';
import { css, html, LitElement, nothing, svg } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { CURRENT } from '../../session/document.ts';
import type { AnalysisStore } from '../../stores/analysis-store.ts';
import { isStale } from '../../stores/analysis-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import { base } from '../base/base.styles.ts';
import { figureTable } from '../base/figure-table.styles.ts';
import { plot } from '../base/plot.styles.ts';
import { analysisContext, sessionContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { figure, figureText, hertz } from '../format/figures.ts';
import { sideWords } from '../matched-switch/compared.ts';

const AXIS = 26;
const TOP = 6;
const FOOT = 20;
const LABELLED = [31.5, 125, 500, 2000, 8000];

/** The rack's output against its input in third octaves: what it does to the tone, at equal loudness. */
@customElement('tone-plot')
export class TonePlot extends LitElement {
  static override styles = [
    base,
    figureTable,
    plot,
    css`
      h2 small {
        margin-left: var(--space-3);
        font-weight: 400;
      }
      text {
        font-size: var(--text-small);
        fill: var(--ink-2);
      }
      .grid {
        stroke: var(--grid);
      }
      .zero {
        stroke: var(--clean);
      }
      rect {
        fill: var(--coloured);
      }
    `,
  ];

  @store(analysisContext) private analysis?: AnalysisStore;
  @store(sessionContext) private session?: SessionStore;
  @property() rackId = '';
  @property() rackName = '';
  @state() private asTable = false;
  @state() private size = { width: 0, height: 0 };
  @query('.plot') private plotArea!: HTMLElement;
  readonly #resize = new ResizeObserver(([{ contentRect }]) => {
    this.size = { width: Math.floor(contentRect.width), height: Math.floor(contentRect.height) };
  });

  override firstUpdated(): void {
    this.#resize.observe(this.plotArea);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    if (this.hasUpdated) this.#resize.observe(this.plotArea);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.#resize.disconnect();
  }

  override render() {
    const figures = this.analysis?.rack(this.rackId);
    const tone = figures?.toneDb ?? null;
    const frequencies = this.analysis?.toneFrequencies ?? [];
    const stale = isStale(this.analysis);
    const difference = this.differenceWords();
    return html`
      <div class="heading">
        <h2>Tone <small title="This rack's output against its input, at equal loudness">${difference}, third octaves, dB</small></h2>
        <div class="tools">
          <button class="quiet" aria-pressed=${this.asTable} @click=${() => (this.asTable = !this.asTable)}>Table</button>
        </div>
      </div>
      <div class="plot ${stale ? 'stale' : 'fresh'}">
        ${this.asTable ? renderTable(frequencies, tone, difference) : this.renderBars(frequencies, tone)}
        ${tone || this.asTable ? nothing : html`<div class="message"><span>${figures?.reason ?? (this.analysis?.status === 'working' ? 'Being measured…' : 'Not measured yet.')}</span></div>`}
      </div>
    `;
  }

  /** The figures are of side B: of a scene where one stands there. */
  private differenceWords(): string {
    const document = this.session?.document;
    return document && document.sides.b !== CURRENT ? `${sideWords(document).b}, out minus in` : 'out minus in';
  }

  private renderBars(frequencies: readonly number[], tone: readonly (number | null)[] | null) {
    const { width, height } = this.size;
    if (width <= AXIS || height <= FOOT) return nothing;
    const span = scaleFor(tone);
    const x = scaleBand<number>(frequencies, [AXIS, width - 2])
      .paddingInner(0.28)
      .paddingOuter(0.2);
    const y = scaleLinear([-span, span], [height - FOOT, TOP]).clamp(true);
    const lines = [-span, (-2 * span) / 3, -span / 3, span / 3, (2 * span) / 3, span];
    return svg`<svg viewBox="0 0 ${width} ${height}" role="img" aria-label=${`${this.rackName}: ${describe(frequencies, tone)}`}>
      ${lines.map((db) => svg`<path class="grid" d="M${AXIS} ${Math.round(y(db)) + 0.5}H${width}" />`)}
      ${[-span, 0, span].map(
        (db) =>
          svg`<text x=${AXIS - 6} y=${y(db)} dy="0.34em" text-anchor="end">${figure(db, { digits: 0, signed: true })}</text>`,
      )}
      ${frequencies.map((frequency, i) => {
        const db = tone?.[i] ?? null;
        const label = LABELLED.includes(frequency)
          ? svg`<text x=${x(frequency)! + x.bandwidth() / 2} y=${height - 5} text-anchor="middle">${hertz(frequency)}</text>`
          : nothing;
        if (db === null) return label;
        const top = Math.min(y(0), y(db));
        return svg`<rect x=${x(frequency)} y=${top} width=${x.bandwidth()} height=${Math.max(0.5, Math.abs(y(db) - y(0)))}>
            <title>${hertz(frequency)} Hz: ${figure(db, { digits: 2, signed: true, unit: 'dB' })}</title></rect>${label}`;
      })}
      <path class="zero" d="M${AXIS} ${Math.round(y(0)) + 0.5}H${width}" />
      <text x=${width - 2} y=${height - 5} text-anchor="end">Hz</text>
    </svg>`;
  }
}

/** ±3 dB, or as much more as the figures need. */
function scaleFor(tone: readonly (number | null)[] | null): number {
  const most = Math.max(0, ...(tone ?? []).map((db) => Math.abs(db ?? 0)));
  return [3, 6, 12].find((span) => most <= span) ?? 24;
}

function describe(frequencies: readonly number[], tone: readonly (number | null)[] | null): string {
  const known = frequencies.flatMap((frequency, i) =>
    typeof tone?.[i] === 'number' ? [{ frequency, db: tone[i] }] : [],
  );
  if (known.length === 0) return 'no tonal difference measured.';
  const text = ({ frequency, db }: { frequency: number; db: number }) =>
    `${figure(db, { digits: 1, signed: true, unit: 'dB' })} at ${hertz(frequency)} Hz`;
  const highest = known.reduce((a, b) => (b.db > a.db ? b : a));
  const lowest = known.reduce((a, b) => (b.db < a.db ? b : a));
  return `tonal difference from ${text(lowest)} to ${text(highest)}. The table has every band.`;
}

function renderTable(frequencies: readonly number[], tone: readonly (number | null)[] | null, difference: string) {
  return html`<div class="scroll" tabindex="0" role="group" aria-label="Tonal difference as a table">
    <table>
      <thead>
        <tr>
          <th scope="col">Hz</th>
          <th scope="col">${difference}, dB</th>
        </tr>
      </thead>
      <tbody>
        ${frequencies.map(
          (frequency, i) => html`<tr>
            <th scope="row">${hertz(frequency)}</th>
            <td>${figureText(tone?.[i], { digits: 2, signed: true }, tone ? 'No energy in this band' : 'Not measured yet')}</td>
          </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'tone-plot': TonePlot;
  }
}
