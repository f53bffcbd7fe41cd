import type { Planes } from '../render/rack-renderer.ts';

const HISTOGRAM_BINS = 64;

/** Counts of |gain·x| over ±range in HISTOGRAM_BINS bins, relative to the fullest. Every fourth sample is enough. */
export function histogram(planes: Planes, gain: number, range: number): Float64Array {
  const counts = new Float64Array(HISTOGRAM_BINS);
  for (const plane of planes) {
    for (let i = 0; i < plane.length; i += 4) {
      const bin = Math.floor(((gain * plane[i]) / range + 1) * 0.5 * HISTOGRAM_BINS);
      if (bin >= 0 && bin < HISTOGRAM_BINS) counts[bin]++;
    }
  }
  const most = counts.reduce((a, b) => Math.max(a, b), 0);
  return most > 0 ? counts.map((count) => count / most) : counts;
}
