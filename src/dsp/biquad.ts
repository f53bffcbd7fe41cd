/** Second-order filter sections: their coefficients and their exact frequency response. */
import type { Decibels, Hertz } from './units.ts';
import { powerToDb } from './units.ts';

/** H(z) = (b0 + b1·z⁻¹ + b2·z⁻²) / (1 + a1·z⁻¹ + a2·z⁻²). */
export interface BiquadCoefficients {
  readonly b0: number;
  readonly b1: number;
  readonly b2: number;
  readonly a1: number;
  readonly a2: number;
}

/**
 * Gain at one frequency, in dB. With c = cos ω the squared magnitude of b0 + b1·z⁻¹ + b2·z⁻² on the unit circle is
 * b0² + b1² + b2² + 2(b0·b1 + b1·b2)c + 2·b0·b2·(2c² − 1); written with s = sin²(ω/2) it keeps its digits near DC,
 * where the terms of a high-pass cancel.
 */
export function biquadGainDb(filter: BiquadCoefficients, frequency: Hertz, sampleRate: Hertz): Decibels {
  const s = Math.sin((Math.PI * frequency) / sampleRate) ** 2;
  return powerToDb(squaredMagnitude(filter.b0, filter.b1, filter.b2, s) / squaredMagnitude(1, filter.a1, filter.a2, s));
}

/** |c0 + c1·z⁻¹ + c2·z⁻²|² with s = sin²(ω/2), so that cos ω = 1 − 2s. */
function squaredMagnitude(c0: number, c1: number, c2: number, s: number): number {
  const atDc = c0 + c1 + c2;
  return atDc * atDc - 4 * s * (c0 * c1 + c1 * c2 + 4 * c0 * c2) + 16 * s * s * c0 * c2;
}
