import { nothing, type SVGTemplateResult, svg } from 'lit';
import { CHART_TOP, ChartScale, type ChartSize, crisp, drawAxes } from './chart-axes.ts';

/** One line of a measured spectrum. */
export interface MeasuredLine {
  readonly label: string;
  readonly at: number;
  readonly db: number;
  /** Odd orders are filled, even ones outlined, aliases crossed, and the tones themselves plain. */
  readonly mark: 'odd' | 'even' | 'alias' | 'tone';
}

const MARK = 3.5;
const LABEL_APART = 34;
const MOST_LABELS = 9;

/** Products or harmonics as upright lines from the floor, each with its mark; the strongest have their names. */
export function linePlot(
  lines: readonly MeasuredLine[],
  axis: ChartScale['axis'],
  noiseDb: number | null,
  size: ChartSize,
): SVGTemplateResult {
  const most = Math.max(0, ...lines.map(({ db }) => db));
  const scale = new ChartScale(size, axis, Math.ceil(most / 10) * 10, -140);
  const { x, y, left, bottom, right } = scale;
  const shown = lines.filter(({ db, at }) => db > -140 && at >= axis.from && at <= axis.to);
  const named = axis.kind === 'order' ? [] : withRoom(shown, x, y);
  const tones = axis.kind === 'order' ? [] : shown.filter(({ mark }) => mark === 'tone');
  return svg`
    ${drawAxes(scale)}
    ${
      noiseDb !== null && noiseDb > -140
        ? svg`<path class="noise" d="M${left} ${crisp(y(noiseDb))}H${right}" />
            <text x=${right} y=${y(noiseDb) - 5} text-anchor="end">noise</text>`
        : nothing
    }
    ${shown.map(
      ({ at, db, mark, label }) => svg`<g class=${mark}>
        <title>${label}</title>
        <path d="M${x(at).toFixed(1)} ${bottom}V${y(db).toFixed(1)}" />
        ${markAt(mark, x(at), y(db))}
      </g>`,
    )}
    ${named.map(
      ({ at, db, label }) =>
        svg`<text class="name" x=${x(at)} y=${Math.max(CHART_TOP + 2, y(db) - 9)} text-anchor=${x(at) > right - 30 ? 'end' : 'middle'}>${label}</text>`,
    )}
    ${tones.map(
      ({ at, db, label }, i) =>
        svg`<text class="name" x=${x(at) + (i === 0 ? -7 : 7)} y=${y(db)} dy="0.34em" text-anchor=${i === 0 ? 'end' : 'start'}>${label}</text>`,
    )}`;
}

function markAt(mark: MeasuredLine['mark'], x: number, y: number) {
  if (mark === 'tone') return svg`<circle cx=${x} cy=${y} r=${MARK} />`;
  if (mark === 'alias') {
    return svg`<path d="M${x - MARK} ${y - MARK}l${2 * MARK} ${2 * MARK}m0 ${-2 * MARK}l${-2 * MARK} ${2 * MARK}" />`;
  }
  return svg`<rect x=${x - MARK} y=${y - MARK} width=${2 * MARK} height=${2 * MARK} />`;
}

/** The strongest products whose names don't run into one another. */
function withRoom(
  lines: readonly MeasuredLine[],
  x: (at: number) => number,
  y: (db: number) => number,
): MeasuredLine[] {
  const kept: MeasuredLine[] = [];
  for (const line of lines.filter(({ mark }) => mark !== 'tone').sort((a, b) => b.db - a.db)) {
    if (kept.length >= MOST_LABELS) break;
    const clear = (other: MeasuredLine) =>
      Math.abs(x(other.at) - x(line.at)) >= LABEL_APART + 4 * (other.label.length > 3 ? 4 : 0) ||
      Math.abs(y(other.db) - y(line.db)) >= 14;
    // A name also stands clear of the lines that rise beside it.
    const free = lines.every(
      (other) => other === line || Math.abs(x(other.at) - x(line.at)) >= 16 || other.db < line.db,
    );
    if (free && kept.every(clear)) kept.push(line);
  }
  return kept;
}
