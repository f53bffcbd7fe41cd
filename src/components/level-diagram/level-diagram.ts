import { scaleLinear } from 'd3-scale';
import { html, LitElement, nothing, svg } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import type { TapLevels } from '../../stores/analysis-store.ts';
import { base } from '../base/base.styles.ts';
import { figure } from '../format/figures.ts';
import { styles } from './level-diagram.styles.ts';
import { levelLine, onePercentTicks, type Point, type StageOnPath, type Stretches, trimMarks } from './level-path.ts';

const AXIS = 26;
const TOP = 10;
const BOTTOM = 8;

/** True peak and loudness along a rack's path, from In to after the match gain, over the stages that stand below. */
@customElement('level-diagram')
export class LevelDiagram extends LitElement {
  static override styles = [base, styles];

  @property({ attribute: false }) taps: readonly TapLevels[] = [];
  @property({ attribute: false }) stages: readonly StageOnPath[] = [];
  /** After the match gain. */
  @property({ attribute: false }) output: TapLevels | null = null;
  @property({ attribute: false }) stretches: Stretches = { left: 0, edges: [], right: 0 };
  /** Lowest and highest level, dB. */
  @property({ attribute: false }) range: readonly [number, number] = [-24, 0];
  @property({ type: Number }) height = 170;
  /** A sentence in place of the lines. */
  @property() reason: string | null = null;
  @property({ type: Boolean }) stale = false;

  override render() {
    const { range, height, stretches, taps } = this;
    const width = stretches.right;
    if (width <= 0) return nothing;
    const y = scaleLinear(range, [height - BOTTOM, TOP]);
    const marks: number[] = [];
    for (let db = range[1]; db >= range[0]; db -= 6) marks.push(db);
    const every = marks.length > 7 ? 2 : 1;
    return html`<svg
        width=${width}
        height=${height}
        viewBox="0 0 ${width} ${height}"
        role="img"
        aria-label=${this.describe()}
      >
        ${marks.map(
          (db, i) => svg`<path class=${db === 0 ? 'grid zero' : 'grid'} d="M${AXIS} ${y(db)}H${width}" />
          ${
            i % every === 0
              ? svg`<text class="axis" x=${AXIS - 6} y=${y(db)} dy="0.34em" text-anchor="end">${figure(db, { digits: 0 })}</text>`
              : nothing
          }`,
        )}
        ${stretches.edges.map((x) => svg`<path class="edge" d="M${x} 0V${height}" />`)}
        <g class=${this.stale ? 'stale' : 'fresh'}>${taps.length > 0 && !this.reason ? this.renderLines(y) : nothing}</g>
      </svg>
      ${this.reason ? html`<p>${this.reason}</p>` : nothing}`;
  }

  private renderLines(y: (db: number) => number) {
    const { taps, stages, output, stretches, range } = this;
    const inner = { ...stretches, left: AXIS };
    const shown = (db: number) => y(Math.min(range[1], Math.max(range[0], db)));
    const peak = levelLine(taps, stages, output?.truePeakDbtp ?? null, inner, (tap) => tap.truePeakDbtp);
    const loudness = levelLine(taps, stages, output?.integratedLufs ?? null, inner, (tap) => tap.integratedLufs);
    const draw = (points: readonly Point[]) =>
      `M${points.map(({ x, db }) => `${x.toFixed(1)} ${shown(db).toFixed(1)}`).join('L')}`;
    const area =
      peak.length > 1 && loudness.length > 1 ? `${draw(peak)}L${draw([...loudness].reverse()).slice(1)}Z` : '';
    const clean = (db: number | null, kind: string) =>
      db === null ? nothing : svg`<path class="clean ${kind}" d="M${AXIS} ${shown(db)}H${stretches.right}" />`;
    return svg`
      ${area ? svg`<path class="area" d=${area} />` : nothing}
      ${clean(taps[0].truePeakDbtp, 'peak')} ${clean(taps[0].integratedLufs, 'loudness')}
      ${loudness.length > 1 ? svg`<path class="coloured loudness" d=${draw(loudness)} />` : nothing}
      ${peak.length > 1 ? svg`<path class="coloured peak" d=${draw(peak)} />` : nothing}
      ${onePercentTicks(stages, inner)
        .filter(({ db }) => db <= range[1] && db >= range[0])
        .map(
          ({
            db,
            from,
            to,
          }) => svg`<path class="tick" d="M${from} ${y(db)}H${to}M${from} ${y(db) - 3}v6M${to} ${y(db) - 3}v6" />
          <text class="tick-name" x=${to + 4} y=${y(db)} dy="0.34em">1 %</text>`,
        )}
      ${trimMarks(taps, stages, inner).map(
        ({ x, db, trimDb }) =>
          svg`<circle cx=${x} cy=${shown(db)} r="3.5"><title>Trim ${figure(trimDb, { digits: 1, signed: true, unit: 'dB' })}</title></circle>`,
      )}
      ${this.renderEnds(peak, loudness, shown)}
    `;
  }

  /** The figures of both ends, written at the lines. */
  private renderEnds(peak: readonly Point[], loudness: readonly Point[], shown: (db: number) => number) {
    const { stretches } = this;
    return [peak, loudness].map((points) => {
      const end = points.at(-1);
      if (!end || end.x < stretches.right) return nothing;
      return svg`<text class="end" x=${stretches.right - 5} y=${shown(end.db) - 6} text-anchor="end">${figure(end.db, { digits: 1 })}</text>`;
    });
  }

  private describe(): string {
    if (this.reason || this.taps.length === 0) return `Level diagram. ${this.reason ?? 'Not measured yet.'}`;
    const at = ({ truePeakDbtp, integratedLufs }: TapLevels) =>
      `${figure(truePeakDbtp, { digits: 1, unit: 'dBTP' })}, ${figure(integratedLufs, { digits: 1, unit: 'LUFS' })}`;
    const steps = this.taps.map((tap, i) => `${i === 0 ? 'in' : `after stage ${i}`} ${at(tap)}`);
    if (this.output) steps.push(`matched ${at(this.output)}`);
    return `Level diagram: ${steps.join('; ')}.`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'level-diagram': LevelDiagram;
  }
}
