import type { Planes } from '../../render/rack-renderer.ts';

/** Word lengths that files have; what is finer counts as without rounding. */
const BITS = [16, 24] as const;
export type WordLength = (typeof BITS)[number];

/** The word length that all samples fit: of a file as it was read, before any gain or resampling. Null for finer ones, or silence. */
export function wordLength(planes: Planes): WordLength | null {
  if (planes.every((plane) => plane.every((x) => x === 0))) return null;
  return (
    BITS.find((bits) => planes.every((plane) => plane.every((x) => Number.isInteger(x * 2 ** (bits - 1))))) ?? null
  );
}

/**
 * Mean square of the rounding to so many bits with triangular dither: q²/12 of the rounding itself and q²/6 of the dither,
 * q = 2^(1 − bits) (Lipshitz, Wannamaker and Vanderkooy 1992, from memory; the closed form follows from the two variances).
 */
export function roundingPower(bits: WordLength | null): number {
  return bits === null ? 0 : 2 ** (2 - 2 * bits) / 4;
}
