/** Butterworth filters of second order, 12 dB an octave, by the bilinear transform with the corner kept in place. */
import type { BiquadCoefficients } from './biquad.ts';
import type { Hertz } from './units.ts';

/** A corner is kept this far below the Nyquist frequency, as a share of the rate. */
const HIGHEST = 0.45;

/** H(s) = ω₀²/(s² + √2·ω₀·s + ω₀²) or s²/(…): −3.01 dB at `corner`. */
export function butterworth(kind: 'low-pass' | 'high-pass', corner: Hertz, sampleRate: Hertz): BiquadCoefficients {
  const g = Math.tan(Math.PI * Math.min(corner / sampleRate, HIGHEST));
  const norm = 1 / (1 + Math.SQRT2 * g + g * g);
  const [b0, b1] = kind === 'low-pass' ? [g * g * norm, 2 * g * g * norm] : [norm, -2 * norm];
  return { b0, b1, b2: b0, a1: 2 * (g * g - 1) * norm, a2: (1 - Math.SQRT2 * g + g * g) * norm };
}

/** A signal through a second-order section from rest, in double precision. */
export function filtered({ b0, b1, b2, a1, a2 }: BiquadCoefficients, signal: ArrayLike<number>): Float32Array {
  const out = new Float32Array(signal.length);
  let [s1, s2] = [0, 0];
  for (let i = 0; i < signal.length; i++) {
    const x = signal[i];
    const y = b0 * x + s1;
    s1 = b1 * x - a1 * y + s2;
    s2 = b2 * x - a2 * y;
    out[i] = y;
  }
  return out;
}
