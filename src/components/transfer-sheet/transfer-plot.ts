import { scaleLinear } from 'd3-scale';
import { nothing, type SVGTemplateResult, svg } from 'lit';
import type { StageFace } from '../../stores/analysis-store.ts';
import { figure } from '../format/figures.ts';
import { loopPath } from '../stage-curve/stage-curve.ts';

const LEFT = 46;
const FOOT = 36;
const TOP = 8;
const RIGHT = 10;
/** Labels of an axis stand at least this far apart, px. */
const APART = 26;
const TICKS_DBFS = [6, 3, 0, -3, -6, -9, -12, -18, -24, -30];
const HISTOGRAM_SHARE = 0.3;

export interface TransferMarks {
  /** Peak level at the curve's input of a sine at the alignment level at the stage's input, dBFS. */
  readonly alignmentDbfs: number;
}

/** The curve with both axes in dBFS: linear in amplitude, so that a straight line is a straight stage. */
export function transferPlot(face: StageFace, marks: TransferMarks, size: number): SVGTemplateResult {
  const range = face.curveX[face.curveX.length - 1];
  const x = scaleLinear([-range, range], [LEFT, size - RIGHT]);
  const y = scaleLinear([-range, range], [size - FOOT, TOP]).clamp(true);
  const ticks = ticksWithin(range, x(range) - x(0));
  const both = ticks.flatMap((db) => [
    { db, at: amplitude(db) },
    { db, at: -amplitude(db) },
  ]);
  const points = Array.from(face.curveX, (input, i) => `${x(input).toFixed(1)} ${y(face.curveY[i]).toFixed(1)}`);
  return svg`
    ${both.map(
      ({ db, at }) => svg`
        <path class="grid" d="M${crisp(x(at))} ${TOP}V${size - FOOT}M${LEFT} ${crisp(y(at))}H${size - RIGHT}" />
        <text x=${x(at)} y=${size - FOOT + 14} text-anchor="middle">${figure(db, { digits: 0 })}</text>
        <text x=${LEFT - 6} y=${y(at)} dy="0.34em" text-anchor="end">${figure(db, { digits: 0 })}</text>`,
    )}
    ${face.histogram ? svg`<path class="histogram" d=${histogram(face.histogram, x, range, size)} />` : nothing}
    <path class="axes" d="M${crisp(x(0))} ${TOP}V${size - FOOT}M${LEFT} ${crisp(y(0))}H${size - RIGHT}" />
    <path class="straight" d="M${x(-range)} ${y(-range)}L${x(range)} ${y(range)}" />
    ${level('alignment', marks.alignmentDbfs, range, x, size)}
    ${face.onePercentDbfs === null ? nothing : onePercent(face.onePercentDbfs, range, x, y)}
    <path class="curve" d=${`M${points.join('L')}`} />
    ${face.loop ? svg`<path class="loop" d=${loopPath(face.loop, x, y)} />` : nothing}
    <text class="title" x=${(LEFT + size - RIGHT) / 2} y=${size - 4} text-anchor="middle">in, dBFS (after trim in)</text>
    <text class="title" transform=${`translate(11 ${(TOP + size - FOOT) / 2}) rotate(-90)`} text-anchor="middle">out, dBFS</text>`;
}

/** Levels whose labels have room on one half of the axis, the highest first. */
export function ticksWithin(range: number, halfPx: number): number[] {
  const kept: number[] = [];
  for (const db of TICKS_DBFS) {
    const at = (amplitude(db) / range) * halfPx;
    if (amplitude(db) > range || at < APART / 2) continue;
    if (kept.every((other) => (amplitude(other) / range) * halfPx - at >= APART)) kept.push(db);
  }
  return kept;
}

function histogram(bins: Float64Array, x: (value: number) => number, range: number, size: number): string {
  const left = x(-range);
  const width = (x(range) - left) / bins.length;
  const foot = size - FOOT;
  const height = HISTOGRAM_SHARE * (foot - TOP);
  let path = `M${left.toFixed(1)} ${foot}`;
  bins.forEach((share, i) => {
    path += `V${(foot - share * height).toFixed(1)}H${(left + (i + 1) * width).toFixed(1)}`;
  });
  return `${path}V${foot}Z`;
}

/** A dashed line on both halves at a level. */
function level(name: string, db: number, range: number, x: (value: number) => number, size: number) {
  const at = amplitude(db);
  if (at >= range) return nothing;
  const line = (side: number) => `M${crisp(x(side * at))} ${TOP}V${size - FOOT}`;
  return svg`<path class="alignment" d="${line(-1)}${line(1)}" />
    <text class="mark" x=${x(-at) - 4} y=${TOP + 12} text-anchor="end">${name}</text>`;
}

function onePercent(db: number, range: number, x: (value: number) => number, y: (value: number) => number) {
  const at = amplitude(db);
  if (at >= range) return nothing;
  const tick = (side: number) => `M${x(side * at).toFixed(1)} ${(y(0) - 9).toFixed(1)}v18`;
  return svg`<path class="tick" d="${tick(-1)}${tick(1)}M${x(-at)} ${y(0)}H${x(at)}" />
    <text class="mark" x=${x(at) + 5} y=${y(0) + 16}>1 % THD</text>`;
}

function amplitude(db: number): number {
  return 10 ** (db / 20);
}

function crisp(value: number): number {
  return Math.round(value) + 0.5;
}

export interface TransferRow {
  readonly inDbfs: number;
  readonly positiveDbfs: number | null;
  readonly negativeDbfs: number | null;
}

/** The curve's output for both halves at levels 3 dB apart, from its end down. */
export function transferRows({ curveX, curveY }: StageFace): TransferRow[] {
  const range = curveX[curveX.length - 1];
  const top = Math.floor((20 * Math.log10(range)) / 3 + 1e-9) * 3;
  return Array.from({ length: 13 }, (_, i) => {
    const inDbfs = top - 3 * i;
    const at = (input: number) => {
      const place = ((input + range) / (2 * range)) * (curveX.length - 1);
      const low = Math.min(curveX.length - 2, Math.max(0, Math.floor(place)));
      const out = Math.abs(curveY[low] + (place - low) * (curveY[low + 1] - curveY[low]));
      return out > 0 ? 20 * Math.log10(out) : null;
    };
    return { inDbfs, positiveDbfs: at(amplitude(inDbfs)), negativeDbfs: at(-amplitude(inDbfs)) };
  });
}
