import { type SVGTemplateResult, svg } from 'lit';
import { type BenchAxis, CHART_TOP, ChartScale, type ChartSize, drawAxes } from './chart-axes.ts';

export interface Series {
  readonly name: string;
  readonly mark: 'thd' | 'odd' | 'even';
  /** dB; null where there is none. */
  readonly values: readonly (number | null)[];
}

const FLOOR_DB = -140;
const MARK = 2.5;
const NAME_ROOM = 40;
const NAME_APART = 13;

/** THD and harmonics against level or frequency: the whole heavy, odd orders with filled marks, even ones outlined. */
export function sweepPlot(
  at: readonly number[],
  series: readonly Series[],
  axis: BenchAxis,
  size: ChartSize,
): SVGTemplateResult {
  const known = series.flatMap(({ values }) =>
    values.filter((value) => value !== null && value > FLOOR_DB),
  ) as number[];
  const lowest = Math.max(FLOOR_DB, Math.floor(Math.min(-60, ...known) / 20) * 20);
  const top = Math.max(0, Math.ceil(Math.max(0, ...known) / 20) * 20);
  const scale = new ChartScale(size, axis, top, lowest, true, NAME_ROOM);
  return svg`${drawAxes(scale)}
    ${series.map(
      ({ mark, values }) => svg`<g class=${mark}>
        <path class="run" d=${runs(at, values, scale)} />
        ${
          mark === 'thd'
            ? ''
            : values.map((db, i) =>
                db === null || db <= lowest
                  ? ''
                  : svg`<rect x=${scale.x(at[i]) - MARK} y=${scale.y(db) - MARK} width=${2 * MARK} height=${2 * MARK} />`,
              )
        }
      </g>`,
    )}
    ${names(series, scale, lowest)}`;
}

/** The line through all values there are; a gap where there is none. */
function runs(at: readonly number[], values: readonly (number | null)[], { x, y, floorDb }: ChartScale): string {
  let path = '';
  let open = false;
  values.forEach((db, i) => {
    if (db === null || db <= floorDb) {
      open = false;
      return;
    }
    path += `${open ? 'L' : 'M'}${x(at[i]).toFixed(1)} ${y(db).toFixed(1)}`;
    open = true;
  });
  return path;
}

/** Each line's name at its end, moved apart where ends crowd. */
function names(series: readonly Series[], { y, right, bottom }: ChartScale, lowest: number) {
  const ends = series
    .flatMap(({ name, mark, values }) => {
      const last = values.findLast((db) => db !== null && db > lowest);
      return typeof last === 'number' ? [{ name, mark, at: y(last) }] : [];
    })
    .sort((a, b) => a.at - b.at);
  let above = CHART_TOP - NAME_APART;
  for (const end of ends) {
    end.at = Math.max(end.at, above + NAME_APART);
    above = end.at;
  }
  let below = bottom + NAME_APART;
  for (const end of ends.reverse()) {
    end.at = Math.min(end.at, below - NAME_APART);
    below = end.at;
  }
  return ends.map(
    ({ name, mark, at }) => svg`<text class="name ${mark}" x=${right + 8} y=${at} dy="0.34em">${name}</text>`,
  );
}
