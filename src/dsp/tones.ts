/** Test tones in double precision. */
import type { Hertz } from './units.ts';

/** Angle 2πft/fs of sample i, with whole turns taken off first so that long tones keep their precision. */
function turns(frequency: Hertz, sampleRate: Hertz, i: number): number {
  // f·i is exact for whole-number frequencies up to 2^53, unlike (f/fs)·i.
  return ((frequency * i) % sampleRate) / sampleRate;
}

/**
 * amplitude·sin(2πft + phase).
 * @param length samples
 * @param amplitude peak; full scale is 1
 * @param phase radians
 */
export function sine(length: number, sampleRate: Hertz, frequency: Hertz, amplitude = 1, phase = 0): Float64Array {
  const tone = new Float64Array(length);
  for (let i = 0; i < length; i++) {
    tone[i] = amplitude * Math.sin(2 * Math.PI * turns(frequency, sampleRate, i) + phase);
  }
  return tone;
}

export interface Partial {
  readonly frequency: Hertz;
  /** Peak; full scale is 1. */
  readonly amplitude: number;
}

/** Sum of two cosines, which start together at their crests. */
export function twoTone(length: number, sampleRate: Hertz, first: Partial, second: Partial): Float64Array {
  const tone = sine(length, sampleRate, first.frequency, first.amplitude, Math.PI / 2);
  const other = sine(length, sampleRate, second.frequency, second.amplitude, Math.PI / 2);
  for (let i = 0; i < length; i++) tone[i] += other[i];
  return tone;
}

/**
 * The frequency nearest to `frequency` that has a whole number of periods k in `length` samples, with k and `length`
 * without a common divisor (odd k for a power of two). Then no two samples repeat, and an alias folds back onto a
 * harmonic's bin only after `length` orders, so aliases and harmonics stay apart.
 * @throws RangeError if the length isn't a whole number above 1 or the frequency lies outside 0 to half the rate
 */
export function snapFrequency(frequency: Hertz, sampleRate: Hertz, length: number): Hertz {
  if (!(Number.isInteger(length) && length > 1 && frequency > 0 && frequency < sampleRate / 2)) {
    throw new RangeError(`No tone of ${frequency} Hz fits into ${length} samples at ${sampleRate} Hz.`);
  }
  const wanted = (frequency * length) / sampleRate;
  const nearest = Math.round(wanted);
  // k = 1 always qualifies, so the search ends.
  for (let distance = 0; ; distance++) {
    const candidates = [nearest - distance, nearest + distance].filter((k) => k >= 1 && divisor(k, length) === 1);
    if (candidates.length > 0) {
      const best = candidates.reduce((a, b) => (Math.abs(b - wanted) < Math.abs(a - wanted) ? b : a));
      return (best * sampleRate) / length;
    }
  }
}

function divisor(a: number, b: number): number {
  return b === 0 ? a : divisor(b, a % b);
}
