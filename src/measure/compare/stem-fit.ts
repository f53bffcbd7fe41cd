/** Every stem of a session fitted to a mixdown at once. */

import type { Planes } from '../../render/rack-renderer.ts';
import type { CommonBand } from './common-band.ts';
import { searchAround } from './find-delay.ts';
import type { Solution } from './normal-equations.ts';
import { GROUPS, NormalEquations } from './normal-equations.ts';
import { filtered } from './overlap-save.ts';
import { explainedShare, pairMoments } from './pair-moments.ts';
import { PairTransform } from './pair-transform.ts';

/** Frames of a block, and of so many products a long session takes only evenly spread blocks. */
const BLOCK = 1024;
const MOST_PRODUCTS = 4e9;
/** Stretch and reach of the search for a stem that lies elsewhere: 16 384 samples to each side. */
const SEARCH = 1 << 16;
/** Elsewhere a stem must explain twice as much of what the other stems leave to it, and this share of it at least. */
const MORE = 2;
const LEAST = 0.02;
/** A round of moves must lower what is left by so much, or they are taken back. */
const WORTH = 0.95;
const ROUNDS = 4;

/** A channel's sound and how it stands in the clean mix. */
export interface Stem {
  readonly name: string;
  /** One or two planes from the session's first frame on. */
  readonly planes: Planes;
  /** Gain to the mix's left and right: fader, balance and bus. */
  readonly gains: readonly [left: number, right: number];
  /** It, or its bus, is muted: its gains are those that it would have. */
  readonly muted: boolean;
}

/** What the stems are fitted to. */
export interface FitTarget {
  /** The mixdown with its sides, its fraction of a sample and its balance as the session has them. */
  readonly planes: Planes;
  /** Frame of the session at which it begins. */
  readonly from: number;
  /** Frames that don't count: 1. */
  readonly left: Uint8Array | null;
  /** What both are held to where rates differed. */
  readonly band: CommonBand | null;
}

export interface StemFit {
  readonly stems: readonly Stem[];
  /** Samples by which each stem is later in the mixdown. */
  readonly shifts: readonly number[];
  /** Of the left and the right side. */
  readonly sides: readonly [Solution, Solution];
  /** The sum of the stems as fitted, and what is left of the target, which is 0 in frames that don't count. */
  readonly model: Planes;
  readonly rest: Planes;
}

/**
 * Least squares of all stems together, side by side, with the stems that lie elsewhere moved there.
 * @param suspects stems (by index) whose coefficients aren't as expected
 */
export function* fitStems(
  stems: readonly Stem[],
  target: FitTarget,
  expected: readonly Float64Array[],
  suspects: (sides: readonly [Solution, Solution]) => readonly number[],
): Generator<void, StemFit> {
  const transform = new PairTransform(SEARCH);
  let best = yield* fitAt(
    stems,
    stems.map(() => 0),
    target,
    expected,
  );
  for (let round = 0; round < ROUNDS; round++) {
    const shifts = [...best.shifts];
    for (const index of new Set([...suspects(best.sides), ...weighty(best.sides)])) {
      shifts[index] = yield* shiftOf(index, best, target, transform);
    }
    if (shifts.every((shift, index) => shift === best.shifts[index])) break;
    const next = yield* fitAt(stems, shifts, target, expected);
    if (!(restOf(next) < WORTH * restOf(best))) break;
    best = next;
  }
  return best;
}

/** What is left must be more than this of the whole, as a power, for stems of the right level to be looked for elsewhere. */
const NOTABLE = 1e-6;
/** They must have so much of its power themselves, and are so many at most. */
const SHARE = 0.1;
const MOST_WEIGHTY = 8;

/** Stems that fit in level and are strong enough to have left what is left, by a small delay. */
function weighty(sides: readonly [Solution, Solution]): number[] {
  const rest = sides[0].rest + sides[1].rest;
  if (rest < NOTABLE * (sides[0].power + sides[1].power)) return [];
  const powerOf = (index: number) =>
    sides.reduce((sum, { values, powers }) => sum + values[index] ** 2 * powers[index], 0);
  return Array.from(sides[0].values, (_, index) => index)
    .filter((index) => powerOf(index) > SHARE * rest)
    .sort((one, other) => powerOf(other) - powerOf(one))
    .slice(0, MOST_WEIGHTY);
}

function* fitAt(
  stems: readonly Stem[],
  shifts: readonly number[],
  target: FitTarget,
  expected: readonly Float64Array[],
): Generator<void, StemFit> {
  const sides = yield* solved(stems, shifts, target, expected);
  const model = yield* modelOf(stems, shifts, sides, target);
  const rest = target.planes.map((plane, side) => plane.map((y, i) => (target.left?.[i] ? 0 : y - model[side][i])));
  yield;
  return { stems, shifts, sides, model, rest };
}

function restOf({ sides }: StemFit): number {
  return sides[0].rest + sides[1].rest;
}

function* solved(
  stems: readonly Stem[],
  shifts: readonly number[],
  { planes, from, left, band }: FitTarget,
  expected: readonly Float64Array[],
): Generator<void, [Solution, Solution]> {
  const count = stems.length;
  const { length } = planes[0];
  const equations = [new NormalEquations(count), new NormalEquations(count)] as const;
  const every = Math.max(1, Math.ceil((length * count * count) / MOST_PRODUCTS));
  const buffers = stems.map(({ planes: own }) => own.map(() => new Float64Array(BLOCK)));
  const y = [new Float64Array(BLOCK), new Float64Array(BLOCK)];
  for (let at = 0, n = 0; at < length; at += BLOCK * every, n++) {
    const stop = Math.min(BLOCK, length - at);
    const isLeft = (i: number) => left?.[at + i] === 1;
    for (const [side, out] of y.entries()) {
      for (let i = 0; i < BLOCK; i++) out[i] = i < stop && !isLeft(i) ? planes[side][at + i] : 0;
    }
    const loaded = stems.map((stem, index) =>
      stem.planes.map((plane, side) => {
        const out = buffers[index][side];
        if (!load(plane, from + at - shifts[index], out, band)) return null;
        for (let i = 0; i < BLOCK; i++) if (i >= stop || isLeft(i)) out[i] = 0;
        return out;
      }),
    );
    const group = Math.min(GROUPS - 1, Math.floor((GROUPS * at) / length));
    for (const side of [0, 1] as const) {
      equations[side].add(
        group,
        loaded.map((own) => own[Math.min(side, own.length - 1)]),
        y[side],
      );
    }
    if (n % 32 === 31) yield;
  }
  return [equations[0].solve(expected[0]), equations[1].solve(expected[1])];
}

/** A block of a plane, in the common band if there is one; false where it is silent. */
function load(plane: Float32Array, start: number, out: Float64Array, band: CommonBand | null): boolean {
  if (start >= plane.length + BLOCK || start + 2 * BLOCK <= 0) return false;
  let any = false;
  const { length } = plane;
  if (!band) {
    for (let i = 0; i < BLOCK; i++) {
      const at = start + i;
      out[i] = at >= 0 && at < length ? plane[at] : 0;
      if (out[i] !== 0) any = true;
    }
    return any;
  }
  const { kernel, centre } = band;
  for (let i = 0; i < BLOCK; i++) {
    let sum = 0;
    const base = start + i - centre;
    for (let k = Math.max(0, -base); k < kernel.length && base + k < length; k++) sum += kernel[k] * plane[base + k];
    out[i] = sum;
    if (sum !== 0) any = true;
  }
  return any;
}

function* modelOf(
  stems: readonly Stem[],
  shifts: readonly number[],
  sides: readonly [Solution, Solution],
  { planes, from, band }: FitTarget,
): Generator<void, Planes> {
  const { length } = planes[0];
  const sum = [new Float32Array(length), new Float32Array(length)];
  for (const [index, { planes: own }] of stems.entries()) {
    for (const side of [0, 1] as const) {
      const plane = own[Math.min(side, own.length - 1)];
      const gain = sides[side].values[index];
      const offset = from - shifts[index];
      const stop = Math.min(length, plane.length - offset);
      for (let i = Math.max(0, -offset); i < stop; i++) sum[side][i] += gain * plane[offset + i];
    }
    yield;
  }
  return band ? yield* filtered(sum, band.kernel, band.centre) : sum;
}

/** Where a stem lies by what the others leave to it; where it is unless it fits far better elsewhere. */
function* shiftOf(
  index: number,
  { stems, shifts, sides, rest }: StemFit,
  { from }: FitTarget,
  transform: PairTransform,
): Generator<void, number> {
  const { planes: own } = stems[index];
  const { length } = rest[0];
  const x = own.map((plane) => plane.subarray(Math.min(from, plane.length), Math.min(plane.length, from + length)));
  if (x[0].length === 0) return shifts[index];
  const offset = from - shifts[index];
  const partial = rest.map((plane, side) => {
    const source = own[Math.min(side, own.length - 1)];
    const gain = sides[side as 0 | 1].values[index];
    return plane.map((value, i) => value + gain * (source[offset + i] ?? 0));
  });
  yield;
  const explained = (lag: number) => explainedShare(pairMoments(x, partial, lag));
  const here = explained(shifts[index]);
  let best = { lag: shifts[index], share: 0 };
  for (const lag of searchAround(transform, x, partial, 0)) {
    const share = explained(lag);
    // Twice as much explained, or half as much left.
    const isMore = share > Math.max(LEAST, MORE * here) || 1 - share < (1 - here) / MORE;
    if (isMore && share > best.share) best = { lag, share };
    yield;
  }
  return best.lag;
}
