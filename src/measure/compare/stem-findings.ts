/** Which stems stand otherwise in a mixdown than in the session. */

import { addedPercent } from '../added-share.ts';
import type { Solution } from './normal-equations.ts';
import type { FitTarget, Stem, StemFit } from './stem-fit.ts';
import { fitStems } from './stem-fit.ts';

export type StemDifference =
  | 'missing'
  | 'low'
  | 'high'
  | 'twice'
  | 'inverted'
  | 'late'
  | 'early'
  | 'further-left'
  | 'further-right'
  | 'filtered'
  | 'muted-here';

/** A stem that stands otherwise in the mixdown. */
export interface StemFinding {
  readonly name: string;
  /** The one that says most first. */
  readonly differences: readonly StemDifference[];
  /** Level in the mixdown against the session, the mixdown's own gain apart, dB; null for a missing or here muted one. */
  readonly levelDb: number | null;
  /** Samples by which it is later there; 0 where it lies right. */
  readonly delaySamples: number;
  readonly delaySeconds: number;
}

export interface StemFindings {
  /** Those that explain most first. */
  readonly found: readonly StemFinding[];
  /** Gain of the mixdown against the session as most stems have it. */
  readonly gain: number;
  /** Samples by which most stems are later than the delay that was taken for the mixdown's. */
  readonly shift: number;
  /** Mean square of what is left once every stem stands as in the mixdown, both sides together. */
  readonly rest: number;
  readonly fit: StemFit;
}

/** A filter of one stem that explains more than this of what is left, as a power, lies on that stem. */
const FILTERED = 0.5;
/** Less than this of the whole isn't looked into: −60 dB. */
const LITTLE = 1e-6;

/** A level is named from here on, dB, and a stem that is softer than this is missing. */
const LEVEL_DB = 0.1;
const MISSING_DB = -30;
const TWICE_DB = [5.85, 6.2] as const;
/** A coefficient must lie so many of its own errors away, and explain so much of what is left with it, or without it. */
const ERRORS = 5;
const OF_REST = 0.25;
const OF_ALL = 0.1;
/** Stems agree in the mixdown's gain within this share of it. */
const AGREE = 0.02;
/** A place between the sides is named where this share of the stem's power lies elsewhere. */
const ELSEWHERE = 0.01;

/** @param gain of the mixdown against the clean mix as a whole */
export function* stemFindings(
  stems: readonly Stem[],
  target: FitTarget,
  gain: number,
  sampleRate: number,
): Generator<void, StemFindings> {
  const expected = [0, 1].map((side) => Float64Array.from(stems, (stem) => (stem.muted ? 0 : gain * stem.gains[side])));
  const fit = yield* fitStems(stems, target, expected, (sides) => {
    const common = commonGain(stems, sides);
    return stems.flatMap((stem, index) => (judge(stem, index, sides, common) ? [index] : []));
  });
  const { sides, shifts } = fit;
  const common = commonGain(stems, sides);
  const shift = mostCommon(shifts.filter((_, index) => isFitted(stems[index], index, sides)));
  const named = stems.flatMap((stem, index) => {
    const judged = judge(stem, index, sides, common);
    const delaySamples = shifts[index] - shift;
    if (!judged && (delaySamples === 0 || stem.muted || !isFitted(stem, index, sides))) return [];
    const finding = describe(stem, index, sides, common, delaySamples, judged !== null);
    return finding
      ? [
          {
            index,
            finding: { ...finding, delaySeconds: finding.delaySamples / sampleRate },
            weight: judged?.weight ?? powerOf(stem, index, sides, common),
          },
        ]
      : [];
  });
  named.sort((one, other) => other.weight - one.weight);
  let power = 0;
  for (const plane of fit.rest) for (const x of plane) power += x * x;
  const frames = Math.max(1, fit.rest[0].length);
  const found: StemFinding[] = [];
  const isMuch = sides[0].rest + sides[1].rest > LITTLE * (sides[0].power + sides[1].power);
  for (const { index, finding } of named) {
    const isFiltered =
      isMuch && !/missing|muted/.test(finding.differences[0]) && (yield* isFilterOf(stems[index], fit, target));
    found.push(isFiltered ? { ...finding, differences: ['filtered'], delaySamples: 0, delaySeconds: 0 } : finding);
  }
  return { found, gain: common, shift, rest: power / frames, fit };
}

/** Whether what is left is mostly a filter of this stem. */
function* isFilterOf({ planes }: Stem, { rest }: StemFit, { from }: FitTarget): Generator<void, boolean> {
  const { length } = rest[0];
  const x = planes.map((plane) => {
    const out = new Float32Array(length);
    out.set(plane.subarray(Math.min(from, plane.length), Math.min(plane.length, from + length)));
    return out;
  });
  const unexplained = yield* addedPercent(x, rest);
  return unexplained !== null && (unexplained / 100) ** 2 < 1 - FILTERED;
}

type Sides = readonly [Solution, Solution];
const SIDES = [0, 1] as const;

function overSides(of: (side: 0 | 1) => number): number {
  return of(0) + of(1);
}

/** Gain to each side that a stem should have. */
function should(stem: Stem, side: 0 | 1, common: number): number {
  return stem.muted ? 0 : common * stem.gains[side];
}

function isFitted(stem: Stem, index: number, sides: Sides): boolean {
  return !stem.muted && SIDES.some((side) => stem.gains[side] ** 2 * sides[side].powers[index] > 0);
}

/** The gain that most stems have; of as many, that nearest to unity. */
function commonGain(stems: readonly Stem[], sides: Sides): number {
  const ratios = stems.flatMap((stem, index) => {
    if (!isFitted(stem, index, sides)) return [];
    let [cross, power] = [0, 0];
    for (const side of SIDES) {
      const weight = stem.gains[side] * sides[side].powers[index];
      cross += weight * sides[side].values[index];
      power += weight * stem.gains[side];
    }
    return [cross / power];
  });
  const distance = (ratio: number) => Math.abs(Math.log(Math.max(1e-9, Math.abs(ratio))));
  let best = { ratio: 1, count: 0 };
  for (const ratio of ratios) {
    if (Math.abs(ratio) < 10 ** (MISSING_DB / 20)) continue;
    const alike = ratios.filter((one) => Math.abs(one - ratio) <= AGREE * Math.abs(ratio)).sort((a, b) => a - b);
    const middle = alike[alike.length >> 1];
    const isBetter =
      alike.length > best.count || (alike.length === best.count && distance(middle) < distance(best.ratio));
    if (isBetter) best = { ratio: middle, count: alike.length };
  }
  return best.ratio;
}

function mostCommon(values: readonly number[]): number {
  const counts = new Map<number, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  let best = 0;
  for (const [value, count] of counts) if (count > (counts.get(best) ?? 0)) best = value;
  return best;
}

/** Power that a stem's deviation explains, where that is significant and matters; null otherwise. */
function judge(stem: Stem, index: number, sides: Sides, common: number): { weight: number } | null {
  let weight = 0;
  let errors = 0;
  let rest = 0;
  let before = 0;
  for (const side of SIDES) {
    const { values, variances, inverse, rest: left, power } = sides[side];
    const count = values.length;
    const off = values[index] - should(stem, side, common);
    const isSilent = sides[side].powers[index] === 0;
    if (!isSilent) {
      weight += off ** 2 / inverse[index * count + index];
      errors = Math.max(errors, Math.abs(off) / Math.sqrt(variances[index] + 1e-14 * values[index] ** 2 + 1e-300));
    }
    rest += Math.max(left, 1e-12 * power);
    before += left;
  }
  before += weight;
  if (errors < ERRORS || (weight < OF_REST * rest && weight < OF_ALL * before)) return null;
  const level = levelDb(stem, index, sides, common);
  const isOff =
    stem.muted || level === null || Math.abs(level) >= LEVEL_DB || place(stem, index, sides, common) !== null;
  return isOff || isInverted(stem, index, sides, common) ? { weight } : null;
}

function powerOf(stem: Stem, index: number, sides: Sides, common: number): number {
  return overSides((side) => should(stem, side, common) ** 2 * sides[side].powers[index]);
}

/** Level in the mixdown against what it should be; null where nothing is there, or should be. */
function levelDb(stem: Stem, index: number, sides: Sides, common: number): number | null {
  const there = overSides((side) => sides[side].values[index] ** 2 * sides[side].powers[index]);
  const here = powerOf(stem, index, sides, common);
  return there > 0 && here > 0 ? 10 * Math.log10(there / here) : null;
}

function isInverted(stem: Stem, index: number, sides: Sides, common: number): boolean {
  return overSides((side) => sides[side].values[index] * should(stem, side, common) * sides[side].powers[index]) < 0;
}

/** Further left or right than here; null where it stands alike. */
function place(stem: Stem, index: number, sides: Sides, common: number): 'further-left' | 'further-right' | null {
  const there = SIDES.map((side) => sides[side].values[index]);
  const here = SIDES.map((side) => should(stem, side, common));
  const powers = SIDES.map((side) => sides[side].powers[index]);
  const cross = overSides((side) => there[side] * here[side] * powers[side]);
  const power = overSides((side) => here[side] ** 2 * powers[side]);
  const total = overSides((side) => there[side] ** 2 * powers[side]);
  if (!(power > 0 && total > 0)) return null;
  if (total - cross ** 2 / power < ELSEWHERE * total) return null;
  const turn = Math.abs(there[1]) * Math.abs(here[0]) - Math.abs(there[0]) * Math.abs(here[1]);
  return turn > 0 ? 'further-right' : 'further-left';
}

function describe(
  stem: Stem,
  index: number,
  sides: Sides,
  common: number,
  delaySamples: number,
  isOff: boolean,
): Omit<StemFinding, 'delaySeconds'> | null {
  const { name } = stem;
  if (stem.muted) return { name, differences: ['muted-here'], levelDb: null, delaySamples: 0 };
  const level = levelDb(stem, index, sides, common);
  if (isOff && (level === null || level < MISSING_DB)) {
    return { name, differences: ['missing'], levelDb: null, delaySamples: 0 };
  }
  const differences: StemDifference[] = [];
  if (delaySamples !== 0) differences.push(delaySamples > 0 ? 'late' : 'early');
  if (isOff) {
    if (isInverted(stem, index, sides, common)) differences.push('inverted');
    const side = place(stem, index, sides, common);
    if (side) differences.push(side);
    if (level !== null && Math.abs(level) >= LEVEL_DB) {
      const isTwice = !side && level >= TWICE_DB[0] && level <= TWICE_DB[1];
      differences.push(isTwice ? 'twice' : level > 0 ? 'high' : 'low');
    }
  }
  return differences.length > 0 ? { name, differences, levelDb: level, delaySamples } : null;
}
