import type { TapLevels } from '../../stores/analysis-store.ts';

/** What the diagram knows of one stage. */
export interface StageOnPath {
  readonly on: boolean;
  readonly trimInDb: number;
  readonly trimOutDb: number;
  /** Peak level after trim in at which it makes 1 % THD, dBFS. */
  readonly onePercentDbfs: number | null;
}

/** Where the stretches of the path stand, px: the In column, each stage, then the stretch of the match gain. */
export interface Stretches {
  readonly left: number;
  /** Left edge of each stage, then the left edge of the last stretch. */
  readonly edges: readonly number[];
  readonly right: number;
}

export interface Point {
  readonly x: number;
  readonly db: number;
}

/** Where along a stage's stretch the level changes, as shares of its width. */
const TRIM_IN = [0.05, 0.17] as const;
const CORE = [0.6, 0.74] as const;
const TRIM_OUT = [0.83, 0.95] as const;
const MATCH = [0.3, 0.6] as const;
/** The tick of 1 % THD stands where the signal enters the curve. */
const TICK = [0.22, 0.56] as const;

/**
 * The level along the path as a line: flat stretches, and a slope wherever a gain or a stage changes it. The levels
 * before a stage's curve and after it follow from the taps, which include both trims. Null levels break the line off.
 */
export function levelLine(
  taps: readonly TapLevels[],
  stages: readonly StageOnPath[],
  outputDb: number | null,
  { left, edges, right }: Stretches,
  level: (tap: TapLevels) => number | null,
): Point[] {
  const start = taps.length > 0 ? level(taps[0]) : null;
  if (start === null) return [];
  const points: Point[] = [{ x: left, db: start }];
  let db = start;
  const go = (from: number, to: number, target: number) => {
    if (target === db) return;
    points.push({ x: from, db }, { x: to, db: target });
    db = target;
  };
  for (let i = 0; i < stages.length; i++) {
    const after = taps.length > i + 1 ? level(taps[i + 1]) : null;
    if (after === null) {
      points.push({ x: edges[i], db });
      return points;
    }
    const at = (share: number) => edges[i] + share * (edges[i + 1] - edges[i]);
    const { on, trimInDb, trimOutDb } = stages[i];
    if (on) {
      go(at(TRIM_IN[0]), at(TRIM_IN[1]), db + trimInDb);
      go(at(CORE[0]), at(CORE[1]), after - trimOutDb);
      go(at(TRIM_OUT[0]), at(TRIM_OUT[1]), after);
    } else {
      go(at(CORE[0]), at(CORE[1]), after);
    }
  }
  const last = edges[edges.length - 1];
  if (outputDb !== null) go(last + MATCH[0] * (right - last), last + MATCH[1] * (right - last), outputDb);
  points.push({ x: right, db });
  return points;
}

export interface TrimMark extends Point {
  readonly trimDb: number;
}

/** A mark in the middle of every trim's slope, also where the trim is 0 dB. */
export function trimMarks(
  taps: readonly TapLevels[],
  stages: readonly StageOnPath[],
  { edges }: Stretches,
): TrimMark[] {
  const marks: TrimMark[] = [];
  stages.forEach(({ on, trimInDb, trimOutDb }, i) => {
    const before = taps[i]?.truePeakDbtp ?? null;
    const after = taps[i + 1]?.truePeakDbtp ?? null;
    if (!on || before === null || after === null) return;
    const at = ([from, to]: readonly [number, number]) => edges[i] + ((from + to) / 2) * (edges[i + 1] - edges[i]);
    marks.push({ x: at(TRIM_IN), db: before + trimInDb / 2, trimDb: trimInDb });
    marks.push({ x: at(TRIM_OUT), db: after - trimOutDb / 2, trimDb: trimOutDb });
  });
  return marks;
}

/** The ticks at each stage's 1 % THD. */
export function onePercentTicks(stages: readonly StageOnPath[], { edges }: Stretches) {
  return stages.flatMap(({ on, onePercentDbfs }, i) => {
    if (!on || onePercentDbfs === null) return [];
    const at = (share: number) => edges[i] + share * (edges[i + 1] - edges[i]);
    return [{ stage: i, db: onePercentDbfs, from: at(TICK[0]), to: at(TICK[1]) }];
  });
}

/** Levels shown, dB: whole steps of 6, from at least 0 down to below the quietest line, never less than 24 apart. */
export function levelRange(levels: readonly (number | null)[]): [number, number] {
  const known = levels.filter((db): db is number => db !== null && Number.isFinite(db));
  const top = Math.max(0, 6 * Math.ceil((Math.max(...known, -60) + 0.5) / 6));
  const lowest = Math.max(-60, Math.min(...known, top) - 1);
  return [Math.min(top - 24, 6 * Math.floor(lowest / 6)), top];
}
