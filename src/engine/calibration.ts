import { circuitInputs, circuitProbe } from './circuit-probe.ts';
import type { StageConfig } from './config.ts';
import type { Circuit, StageKind } from './stages/stage-kind.ts';

/** Points over one period for harmonics of a static curve; the curve's harmonics above 128 fold into the error. */
const POINTS = 512;
const HIGHEST = 20;
const CALIBRATION_THD = 0.01;

/** cos(πk/POINTS): every angle the discrete Fourier sum needs. */
const COSINE = Float64Array.from({ length: 2 * POINTS }, (_, k) => Math.cos((Math.PI * k) / POINTS));

/**
 * Amplitude at the curve's input, in its own units, that counts as the alignment level at 0 dB drive: the one at which a
 * sine makes 1 % THD_F with the shape as it is set, bias and emphasis at 0 (harmonics to the 20th, each by the discrete
 * Fourier sum over one period). Solved by bisection through the kernel itself, in double precision; cached by shape.
 */
export function alignmentAmplitude(kind: StageKind, values: ArrayLike<number>): number {
  const circuit = kind.circuit(values);
  if (circuit.level === 'as-set') return 1;
  const inputs = circuitInputs(circuit, values);
  if (circuit.biasInput >= 0) inputs[circuit.biasInput] = 0;
  const key = `${circuit.kernel} ${inputs.join(' ')}`;
  const known = cache.get(key);
  if (known !== undefined) return known;
  let low = 1e-3;
  let high = 100;
  for (let i = 0; i < 60; i++) {
    const middle = Math.sqrt(low * high);
    const spectrum = curveHarmonics(circuit, inputs, middle, HIGHEST);
    if (totalHarmonicDistortion(spectrum) < CALIBRATION_THD) low = middle;
    else high = middle;
  }
  const amplitude = Math.sqrt(low * high);
  if (cache.size >= MOST_KNOWN) cache.clear();
  cache.set(key, amplitude);
  return amplitude;
}

const cache = new Map<string, number>();
const MOST_KNOWN = 1000;

/** What the engine is told about a stage: its values as numbers and its amplitude at 0 dB drive. */
export function stageConfig(kind: StageKind, stage: Pick<StageConfig, 'key' | 'on' | 'values'>): StageConfig {
  const { key, on, values } = stage;
  return { key, kind: kind.id, on, values, amplitude: alignmentAmplitude(kind, values) };
}

/**
 * Amplitudes of harmonics 0 to `highest` of a curve driven with amplitude·cos θ, signed, index n = harmonic n
 * (index 0: DC). The fundamental includes the straight line.
 * @param inputs the kernel's, see `circuitInputs`
 */
export function curveHarmonics(
  circuit: Circuit,
  inputs: ArrayLike<number>,
  amplitude: number,
  highest: number,
): Float64Array {
  const probe = circuitProbe();
  probe.load(circuit, inputs);
  // The half-step offset keeps the points off the corners at 0 and ±1.
  const added = probe.added(Float64Array.from({ length: POINTS }, (_, i) => amplitude * COSINE[2 * i + 1]));
  const out = new Float64Array(highest + 1);
  for (let i = 0; i < POINTS; i++) {
    const y = amplitude * COSINE[2 * i + 1] + added[i];
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
