/** Which side of one recording stands on which side of the other. */
import type { Planes } from '../../render/rack-renderer.ts';
import type { PairMoments } from './pair-moments.ts';

/** How B's sides are made of A's. The polarity of both sides together is told apart. */
export type ChannelMatch =
  | 'same'
  | 'swapped'
  | 'left-inverted'
  | 'right-inverted'
  | 'swapped-left-inverted'
  | 'swapped-right-inverted'
  | 'mono'
  | 'left-on-both'
  | 'right-on-both'
  | 'left-missing'
  | 'right-missing';

/** Each side of B as a sum of A's left and right. */
export interface ChannelMap {
  readonly left: readonly [l: number, r: number];
  readonly right: readonly [l: number, r: number];
}

export interface MatchedChannels {
  readonly match: ChannelMatch;
  /** With the balance in it. */
  readonly map: ChannelMap;
  /** B's right side over its left one, against A, dB; 0 where that leaves nothing less. */
  readonly balanceDb: number;
  /** Correlation coefficient of B and the mapped A; its sign is the polarity. */
  readonly correlation: number;
}

const MAPS: Readonly<Record<ChannelMatch, ChannelMap>> = {
  same: { left: [1, 0], right: [0, 1] },
  swapped: { left: [0, 1], right: [1, 0] },
  'left-inverted': { left: [-1, 0], right: [0, 1] },
  'right-inverted': { left: [1, 0], right: [0, -1] },
  'swapped-left-inverted': { left: [0, -1], right: [1, 0] },
  'swapped-right-inverted': { left: [0, 1], right: [-1, 0] },
  mono: { left: [0.5, 0.5], right: [0.5, 0.5] },
  'left-on-both': { left: [1, 0], right: [1, 0] },
  'right-on-both': { left: [0, 1], right: [0, 1] },
  'left-missing': { left: [0, 0], right: [0, 1] },
  'right-missing': { left: [1, 0], right: [0, 0] },
};
/** These say already which side is turned over. */
const ONE_SIDED = /-inverted$/;

/** Another match than the plain one must leave at most half as much, a balance a tenth. */
const BETTER = 0.5;
const MUCH_BETTER = 0.1;
/** Sides are one sound, or one is silent, 50 dB below the other; the other recording's must differ by more, by 40 dB. */
const ALIKE = 1e-5;
const APART = 1e-4;
const BALANCE_DB = 0.05;
/** Two sides can't be had back; a wide stem may just be missing, so nearly all must be explained: 30 dB. */
const LOSSY = /mono|both|missing/;
const EXPLAINED = 1e-3;

export function matchChannels(moments: PairMoments): MatchedChannels {
  const plain = fitted('same', moments);
  let best = plain;
  for (const match of candidates(moments)) {
    const found = fitted(match, moments);
    if (ONE_SIDED.test(match) && found.gain < 0) continue;
    if (LOSSY.test(match) && found.left > EXPLAINED * (moments.yy.ll + moments.yy.rr)) continue;
    if (found.left < BETTER * plain.left && found.left < best.left) best = found;
  }
  const balanced = withBalance(best, moments);
  const { match, map, balanceDb, left, gain } = balanced;
  const { yy } = moments;
  const size = Math.sqrt(Math.max(0, 1 - left / (yy.ll + yy.rr)));
  return { match, map, balanceDb, correlation: gain < 0 ? -size : size };
}

/** A's planes as they stand in B, all but the gain; the planes themselves where nothing is to be done. */
export function mapped(planes: Planes, { match, map, balanceDb }: MatchedChannels): Planes {
  if (match === 'same' && balanceDb === 0) return planes;
  const [l, r] = [planes[0], planes[planes.length - 1]];
  return [map.left, map.right].map(([a, b]) => l.map((x, i) => a * x + b * r[i]));
}

/**
 * What makes B's planes stand as A's do, all but the gain: from which side each is taken, and times what. Null where two
 * sides can't be had back.
 */
export function unmapped({ match, map }: MatchedChannels): { from: [number, number]; times: [number, number] } | null {
  if (LOSSY.test(match)) return null;
  const [l, r] = [map.left, map.right];
  return l[0] !== 0 ? { from: [0, 1], times: [1 / l[0], 1 / r[1]] } : { from: [1, 0], times: [1 / r[0], 1 / l[1]] };
}

function candidates({ xx, yy }: PairMoments): ChannelMatch[] {
  const apart = xx.ll - 2 * xx.lr + xx.rr > APART * (xx.ll + xx.rr);
  const ySum = yy.ll + yy.rr;
  const found: ChannelMatch[] = ['left-inverted', 'right-inverted'];
  if (apart) found.push('swapped', 'swapped-left-inverted', 'swapped-right-inverted');
  if (apart && yy.ll - 2 * yy.lr + yy.rr < ALIKE * ySum) found.push('mono', 'left-on-both', 'right-on-both');
  if (yy.ll < ALIKE * ySum && xx.ll > APART * xx.rr) found.push('left-missing');
  if (yy.rr < ALIKE * ySum && xx.rr > APART * xx.ll) found.push('right-missing');
  return found;
}

interface Fitted {
  readonly match: ChannelMatch;
  readonly map: ChannelMap;
  readonly balanceDb: number;
  readonly gain: number;
  /** Power of B that is left. */
  readonly left: number;
}

function fitted(match: ChannelMatch, moments: PairMoments): Fitted {
  const map = MAPS[match];
  const { yy } = moments;
  const { cross, power } = sums(map, moments);
  const gain = power[0] + power[1] > 0 ? (cross[0] + cross[1]) / (power[0] + power[1]) : 0;
  const left = Math.max(0, yy.ll + yy.rr - gain * (cross[0] + cross[1]));
  return { match, map, balanceDb: 0, gain, left };
}

/** Both sides by a gain of their own, where that leaves much less. */
function withBalance(one: Fitted, moments: PairMoments): Fitted {
  const { cross, power } = sums(one.map, moments);
  if (LOSSY.test(one.match) || !(power[0] > 0 && power[1] > 0)) return one;
  const [l, r] = [cross[0] / power[0], cross[1] / power[1]];
  const { yy } = moments;
  const left = Math.max(0, yy.ll - l * cross[0]) + Math.max(0, yy.rr - r * cross[1]);
  const balanceDb = 20 * Math.log10(r / l);
  if (!(Math.abs(balanceDb) >= BALANCE_DB && left < MUCH_BETTER * one.left)) return one;
  // The common gain is that of the side which is nearer to where it was.
  const gain = Math.abs(Math.log(Math.abs(l))) <= Math.abs(Math.log(Math.abs(r))) ? l : r;
  const scale = ([x, y]: readonly [number, number], by: number) => [x * by, y * by] as const;
  const map = { left: scale(one.map.left, l / gain), right: scale(one.map.right, r / gain) };
  return { ...one, map, balanceDb, left, gain };
}

/** Of each side: mapped x times y, and the power of mapped x. */
function sums(map: ChannelMap, { xx, xy }: PairMoments) {
  const power = ([a, b]: readonly [number, number]) => a * a * xx.ll + 2 * a * b * xx.lr + b * b * xx.rr;
  return {
    cross: [map.left[0] * xy.ll + map.left[1] * xy.rl, map.right[0] * xy.lr + map.right[1] * xy.rr],
    power: [power(map.left), power(map.right)],
  };
}
