import type { Hertz } from '../../dsp/units.ts';
import { foldBin, placeProducts } from './products.ts';

/** How far from the wanted bin a tone may be put to keep products apart. */
const REACH = 6;

/** Bins of two tones, whole periods in the window. */
export interface PairBins {
  readonly k1: number;
  readonly k2: number;
}

/**
 * The bins nearest to two wanted frequencies at which every product to order 7 has a line of its own, folded or not,
 * and none stands on a tone or on DC; without such bins in reach, the nearest ones.
 * @param size window, a power of two of samples
 */
export function snapPair(f1: Hertz, f2: Hertz, sampleRate: Hertz, size: number): PairBins {
  const wanted1 = (f1 * size) / sampleRate;
  const wanted2 = (f2 * size) / sampleRate;
  const candidates: (PairBins & { distance: number })[] = [];
  for (const k1 of around(wanted1, size)) {
    for (const k2 of around(wanted2, size)) {
      if (k1 < k2) candidates.push({ k1, k2, distance: Math.hypot(k1 - wanted1, k2 - wanted2) });
    }
  }
  candidates.sort((a, b) => a.distance - b.distance);
  return candidates.find(({ k1, k2 }) => apart(k1, k2, size)) ?? candidates[0];
}

function around(wanted: number, size: number): number[] {
  const nearest = Math.round(wanted);
  return Array.from({ length: 2 * REACH + 1 }, (_, i) => nearest - REACH + i).filter((k) => k >= 1 && k < size / 2);
}

function apart(k1: number, k2: number, size: number): boolean {
  const seen = new Set([0, k1, k2]);
  for (const { trueBin } of placeProducts(k1, k2, size)) {
    const bin = foldBin(trueBin, size);
    if (seen.has(bin)) return false;
    seen.add(bin);
  }
  return true;
}
