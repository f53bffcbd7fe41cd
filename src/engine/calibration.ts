import type { StageKind } from './stages/stage-kind.ts';
import { MAX_COEFFICIENTS } from './stages/stage-kind.ts';

/** Points over one period for harmonics of a static curve; the curve's harmonics above 128 fold into the error. */
const POINTS = 512;

const CALIBRATION_THD = 0.01;

/** cos(πk/POINTS): every angle the discrete Fourier sum needs. */
const COSINE = Float64Array.from({ length: 2 * POINTS }, (_, k) => Math.cos((Math.PI * k) / POINTS));

/**
 * Amplitude at the curve's input, in knee units, that counts as the alignment level at 0 dB drive: the one at which a
 * sine makes 1 % THD_F at the kind's defaults (harmonics to the 20th, each by the discrete Fourier sum over one
 * period). Solved by bisection, in double precision; cached per kind and curve.
 */
export function alignmentAmplitude(kind: StageKind, values: Float64Array): number {
  if (kind.curve.fixedScale) return 1;
  const calibration = kind.curve.calibrationValues(values);
  const kernel = kind.curve.kernel(calibration);
  const key = `${kind.id} ${kernel}`;
  const known = cache.get(key);
  if (known !== undefined) return known;
  const coefficients = new Float64Array(MAX_COEFFICIENTS);
  kind.curve.coefficients(calibration, coefficients);
  let low = 1e-3;
  let high = 100;
  for (let i = 0; i < 60; i++) {
    const middle = Math.sqrt(low * high);
    const spectrum = curveHarmonics(kind, kernel, coefficients, middle, 20);
    if (totalHarmonicDistortion(spectrum) < CALIBRATION_THD) low = middle;
    else high = middle;
  }
  const amplitude = Math.sqrt(low * high);
  cache.set(key, amplitude);
  return amplitude;
}

const cache = new Map<string, number>();

/**
 * Amplitudes of harmonics 0 to `highest` of a curve driven with amplitude·cos θ, signed, index n = harmonic n
 * (index 0: DC). The fundamental includes the straight line.
 */
export function curveHarmonics(
  kind: StageKind,
  kernel: number,
  coefficients: Float64Array,
  amplitude: number,
  highest: number,
): Float64Array {
  const out = new Float64Array(highest + 1);
  for (let i = 0; i < POINTS; i++) {
    // The half-step offset keeps the points off the corners at 0 and ±1.
    const u = amplitude * COSINE[2 * i + 1];
    const y = u + kind.curve.difference(kernel, coefficients, u);
    for (let n = 0; n <= highest; n++) {
      out[n] += ((n === 0 ? 1 : 2) / POINTS) * y * COSINE[(n * (2 * i + 1)) % (2 * POINTS)];
    }
  }
  return out;
}

/** THD_F: root of the harmonics' summed squares against the fundamental. */
export function totalHarmonicDistortion(harmonics: Float64Array): number {
  let sum = 0;
  for (let n = 2; n < harmonics.length; n++) sum += harmonics[n] ** 2;
  return Math.sqrt(sum) / Math.abs(harmonics[1]);
}
