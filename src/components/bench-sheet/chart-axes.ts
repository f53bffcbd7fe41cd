import { scaleLinear, scaleLog } from 'd3-scale';
import { type SVGTemplateResult, svg } from 'lit';
import { figure, hertz } from '../format/figures.ts';

/** Room for decibels, and for per cent beside them. */
const LEFT = 44;
const LEFT_WITH_PERCENT = 90;
/** Where less is not worth a label: 0.001 %. */
const LEAST_PERCENT_DB = -100;
export const CHART_FOOT = 22;
export const CHART_TOP = 10;
export const CHART_RIGHT = 14;

export interface ChartSize {
  readonly width: number;
  readonly height: number;
}

export interface BenchAxis {
  readonly kind: 'log' | 'linear' | 'order';
  readonly from: number;
  readonly to: number;
  /** At the end of the axis. */
  readonly unit: string;
}

/** Where things stand on a chart of this size: x by its axis, y in dB with THD's per cent beside it. */
export class ChartScale {
  readonly x: (value: number) => number;
  readonly y: (db: number) => number;
  readonly left: number;
  readonly bottom: number;
  readonly right: number;

  constructor(
    readonly size: ChartSize,
    readonly axis: BenchAxis,
    readonly topDb: number,
    readonly floorDb: number,
    /** Distortion in per cent beside the decibels. */
    readonly percent = false,
    rightRoom = CHART_RIGHT,
  ) {
    this.left = percent ? LEFT_WITH_PERCENT : LEFT;
    this.bottom = size.height - CHART_FOOT;
    this.right = size.width - rightRoom;
    const range = [this.left, this.right];
    this.x = axis.kind === 'log' ? scaleLog([axis.from, axis.to], range) : scaleLinear([axis.from, axis.to], range);
    this.y = scaleLinear([floorDb, topDb], [this.bottom, CHART_TOP]).clamp(true);
  }
}

const DECADE = [1, 2, 5];

/** Round places along the axis that have room for a label. */
function ticks({ axis, x }: ChartScale): number[] {
  const { from, to, kind } = axis;
  if (kind === 'order') {
    const step = x(2) - x(1) < 20 ? 2 : 1;
    return Array.from({ length: Math.floor((to - 1) / step) + 1 }, (_, i) => 1 + i * step).filter((n) => n <= to);
  }
  if (kind === 'linear') {
    const rough = ((to - from) / Math.max(1, x(to) - x(from))) * 48;
    const power = 10 ** Math.floor(Math.log10(rough));
    const step = [1, 2, 5, 10].map((factor) => factor * power).find((size) => size >= rough) ?? rough;
    const first = Math.ceil(from / step - 1e-9);
    return Array.from({ length: Math.floor(to / step + 1e-9) - first + 1 }, (_, i) => (first + i) * step);
  }
  const found: number[] = [];
  for (let power = 10 ** Math.floor(Math.log10(from)); power <= to; power *= 10) {
    for (const factor of DECADE)
      if (factor * power >= from * 0.999 && factor * power <= to * 1.001) found.push(factor * power);
  }
  return found;
}

/** Grid and labels. */
export function drawAxes(scale: ChartScale): SVGTemplateResult {
  const { axis, x, y, size, topDb, floorDb, left, bottom, right, percent } = scale;
  const step = (bottom - CHART_TOP) / (topDb - floorDb) < 0.9 ? 40 : 20;
  const levels: number[] = [];
  for (let db = Math.floor(topDb / 20) * 20; db >= floorDb; db -= step) levels.push(db);
  const label = (value: number) => (axis.unit === 'Hz' ? hertz(value) : figure(value, { digits: 0 }));
  let last = Number.NEGATIVE_INFINITY;
  return svg`
    ${levels.map(
      (db) => svg`<path class="grid" d="M${left} ${crisp(y(db))}H${right}" />
        <text x=${left - 7} y=${y(db)} dy="0.34em" text-anchor="end">${figure(db, { digits: 0 })}</text>
        ${percent && db <= 0 && db >= LEAST_PERCENT_DB ? svg`<text class="percent" x=${left - 42} y=${y(db)} dy="0.34em" text-anchor="end">${percentOf(db)}</text>` : ''}`,
    )}
    ${ticks(scale).map((value) => {
      const at = x(value);
      const fits = at - last >= 30 && at <= right - (axis.unit ? 30 : -1);
      if (fits || axis.kind === 'order') last = at;
      return svg`<path class="grid" d="M${crisp(at)} ${CHART_TOP}V${bottom}" />
        ${fits || axis.kind === 'order' ? svg`<text x=${at} y=${size.height - 6} text-anchor="middle">${axis.kind === 'order' && value > 1 ? `H${value}` : label(value)}</text>` : ''}`;
    })}
    ${axis.unit ? svg`<text x=${right} y=${size.height - 6} text-anchor="end">${axis.unit}</text>` : ''}`;
}

/** −40 dB as "1 %". */
function percentOf(db: number): string {
  return `${Number((100 * 10 ** (db / 20)).toPrecision(1))} %`;
}

export function crisp(value: number): number {
  return Math.round(value) + 0.5;
}
