/** Two recordings of different rates: what both can hold. */
import { kaiser, sinc } from '../../dsp/kaiser.ts';
import { RESAMPLER_PASSBAND } from '../../dsp/resample.ts';
import type { Hertz } from '../../dsp/units.ts';

/** Half the length of the low-pass, and its shape: 80 dB, in a transition of 0.0395 of the rate (Kaiser; docs/reference-values.md, section 10). */
const HALF = 64;
const BETA = 0.1102 * (80 - 8.7);
const TRANSITION = (80 - 7.95) / (2.285 * 2 * HALF) / (2 * Math.PI);

export interface CommonBand {
  /** Up to here both are compared as they are; above, the low-pass takes both away. */
  readonly hz: Hertz;
  /** An odd number of taps, alike to both sides of the middle one. */
  readonly kernel: Float64Array;
  readonly centre: number;
}

/**
 * The band that a recording of `otherRate` still has whole after it was brought to `sampleRate`: resamplers differ above
 * 0.9 of half the lower rate, here and in every host. Null where the rates are alike.
 */
export function commonBand(sampleRate: Hertz, otherRate: Hertz): CommonBand | null {
  if (sampleRate === otherRate) return null;
  const stop = (RESAMPLER_PASSBAND * Math.min(sampleRate, otherRate)) / 2 / sampleRate;
  // Of a rate so low that the filter would not fit beneath, a fifth stays.
  const pass = Math.max(stop / 5, stop - TRANSITION);
  const cut = stop + pass;
  const kernel = Float64Array.from({ length: 2 * HALF + 1 }, (_, i) => {
    const t = i - HALF;
    return cut * sinc(cut * t) * kaiser(t / (HALF + 1), BETA);
  });
  return { hz: pass * sampleRate, kernel, centre: HALF };
}
