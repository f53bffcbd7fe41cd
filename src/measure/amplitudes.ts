/** How a sound's amplitudes are distributed: what a static curve does to it follows from that alone. */
import type { Planes } from '../render/rack-renderer.ts';

/** Bits behind the point that count, and the bins in an octave that they make: 0.4 dB wide in the mean. */
const BITS = 4;
const STEPS = 2 ** BITS;
/** Amplitudes from 2^−20 (−120 dBFS) to 2^4 (+24 dBFS). */
const LOWEST_EXPONENT = -20;
const OCTAVES = 24;
const BINS = STEPS * OCTAVES;

/** Counts of positive amplitudes by size, then of negative ones; what is smaller or larger isn't counted. */
export type Amplitudes = Float64Array;

/** Middle of each bin, in the order of the counts; full scale is 1. */
export const AMPLITUDE_BINS: Float64Array = Float64Array.from({ length: 2 * BINS }, (_, index) => {
  const bin = index % BINS;
  const size = 2 ** (LOWEST_EXPONENT + Math.floor(bin / STEPS)) * (1 + ((bin % STEPS) + 0.5) / STEPS);
  return index < BINS ? size : -size;
});

/** Counts every sample of every plane. A float's own exponent and mantissa say its bin: nothing has to be computed. */
export function amplitudes(planes: Planes): Amplitudes {
  const counts = new Float64Array(2 * BINS);
  for (const plane of planes) {
    const bits = new Int32Array(plane.buffer, plane.byteOffset, plane.length);
    for (let i = 0; i < bits.length; i++) {
      const bin = ((bits[i] & 0x7fffffff) >> (23 - BITS)) - STEPS * (127 + LOWEST_EXPONENT);
      if (bin >= 0 && bin < BINS) counts[bits[i] < 0 ? BINS + bin : bin]++;
    }
  }
  return counts;
}
