/** How exact a right mixdown can be: the rounding of its own words and of the stems'. */

import { THIRD_OCTAVE_CENTRES } from '../../dsp/third-octaves.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import type { Stem } from './stem-fit.ts';

export interface Exactness {
  /** Word length of the mixdown; null for floats. */
  readonly bits: WordLength | null;
  /** Mean square that rounding with dither may leave, both sides together. */
  readonly floor: number;
}

/** What is left may be twice the floor: dithers differ, and a short file scatters. */
const MARGIN = 2;
/** Shaped dither moves its noise up, out of hearing: below here it lies under white dither, and above by so much at most. */
const SHAPED_BELOW_HZ = 5000;
const SHAPED_MOST = 1000;

/** @param gain of the mixdown against the session */
export function exactness(mixdown: Planes, stems: readonly Stem[], gain: number): Exactness {
  const bits = wordLength(mixdown);
  let floor = 2 * roundingPower(bits);
  for (const { planes, gains, muted } of stems) {
    if (!muted) floor += gain ** 2 * (gains[0] ** 2 + gains[1] ** 2) * roundingPower(wordLength(planes));
  }
  return { bits, floor };
}

/**
 * Whether what is left is no more than rounding.
 * @param rest mean square, both sides together
 * @param bands the same in third octaves
 */
export function isRounding(rest: number, bands: ArrayLike<number>, sampleRate: number, { floor }: Exactness): boolean {
  if (rest <= MARGIN * floor) return true;
  if (!(rest <= SHAPED_MOST * floor)) return false;
  let [low, white] = [0, 0];
  THIRD_OCTAVE_CENTRES.forEach((hz, i) => {
    if (hz > SHAPED_BELOW_HZ) return;
    low += bands[i];
    white += (floor * hz * (10 ** 0.05 - 10 ** -0.05)) / (sampleRate / 2);
  });
  return low <= MARGIN * white;
}

/** Word lengths that files have; what is finer counts as without rounding. */
const BITS = [16, 24] as const;
type WordLength = (typeof BITS)[number];

/** The word length that all samples fit: of a file as it was read, before any gain or resampling. Null for finer ones, or silence. */
function wordLength(planes: Planes): WordLength | null {
  if (planes.every((plane) => plane.every((x) => x === 0))) return null;
  return (
    BITS.find((bits) => planes.every((plane) => plane.every((x) => Number.isInteger(x * 2 ** (bits - 1))))) ?? null
  );
}

/**
 * Mean square of the rounding to so many bits with triangular dither: q²/12 of the rounding itself and q²/6 of the dither,
 * q = 2^(1 − bits) (Lipshitz, Wannamaker and Vanderkooy 1992, from memory; the closed form follows from the two variances).
 */
function roundingPower(bits: WordLength | null): number {
  return bits === null ? 0 : 2 ** (2 - 2 * bits) / 4;
}
