import { circuitInputs, circuitProbe } from './circuit-probe.ts';
import type { StageConfig } from './config.ts';
import type { Circuit, StageKind } from './stages/stage-kind.ts';

/** Points over one period for harmonics of a static curve; the curve's harmonics above 128 fold into the error. */
const POINTS = 512;
const HIGHEST = 20;
const CALIBRATION_THD = 0.01;
const [LEAST, MOST] = [1e-3, 100];

/** cos(πk/POINTS): every angle the discrete Fourier sum needs. */
const COSINE = Float64Array.from({ length: 2 * POINTS }, (_, k) => Math.cos((Math.PI * k) / POINTS));

/**
 * Amplitude at the circuit's input, in its own units, that counts as the alignment level at 0 dB drive: the one at which
 * a sine of the circuit's tone, mostly 997 Hz, makes 1 % THD_F with the shape as it is set, bias and what
 * else comes on top at its default, without emphasis (harmonics to the 20th). Solved through the kernel itself; cached by shape.
 */
export function alignmentAmplitude(kind: StageKind, values: ArrayLike<number>): number {
  const circuit = kind.circuit(values);
  if (circuit.level === 'as-set') return 1;
  const inputs = circuitInputs(circuit, values);
  for (const { input, value } of circuit.onTop) inputs[input] = value;
  const key = `${circuit.kernel} ${inputs.join(' ')}`;
  const known = cache.get(key);
  if (known !== undefined) return known;
  // A third of the time leaves 1 % of the little that its bias moves at this amplitude.
  const settle = kind.circuitSettleSeconds(values) / 3;
  let before = 0;
  const amplitude = amplitudeOfOnePercent((level) => {
    // From a level that is near, the circuit has little left to settle; the nearer the end of the search, the less.
    const isNear = Math.abs(Math.log(level / before)) < NEAR;
    before = level;
    return harmonicsOf(circuit, inputs, level, HIGHEST, isNear ? settle / 4 : settle, isNear);
  }, circuit);
  if (cache.size >= MOST_KNOWN) cache.clear();
  cache.set(key, amplitude);
  return amplitude;
}

/** Levels nearer than this, as a logarithm of their ratio, are tried one after the other without a pause. */
const NEAR = 0.7;
const cache = new Map<string, number>();
const MOST_KNOWN = 1000;

/**
 * The amplitude at which `harmonics` make 1 % THD_F, between 0.001 and 100: by bisection for a curve, which may be
 * straight up to a corner. For a circuit with memory, each of whose answers takes a millisecond, by a secant through the
 * logarithms, which between the bounds that are known halves them where it leads out or crawls.
 */
export function amplitudeOfOnePercent(harmonics: (amplitude: number) => Float64Array, { isCurve }: Circuit): number {
  const distortion = (amplitude: number) => totalHarmonicDistortion(harmonics(amplitude));
  if (isCurve) {
    let [low, high] = [LEAST, MOST];
    for (let i = 0; i < 60; i++) {
      const middle = Math.sqrt(low * high);
      if (distortion(middle) < CALIBRATION_THD) low = middle;
      else high = middle;
    }
    return Math.sqrt(low * high);
  }
  const excess = (logarithm: number) => Math.log(distortion(Math.exp(logarithm)) / CALIBRATION_THD);
  let [low, high] = [Math.log(LEAST), Math.log(MOST)];
  let [before, now] = [Math.log(0.1), Math.log(0.2)];
  let from = excess(before);
  for (let i = 0; i < 40; i++) {
    const to = excess(now);
    if (to < 0) low = Math.max(low, now);
    else high = Math.min(high, now);
    if (Math.abs(to) < 1e-5 || high - low < 1e-6) break;
    const next = now - (to * (now - before)) / (to - from);
    const isSlow = Math.abs(to) > 0.5 * Math.abs(from);
    [before, from] = [now, to];
    now = next > low && next < high && !(i > 2 && isSlow) ? next : (low + high) / 2;
  }
  return Math.exp(now);
}

/** What the engine is told about a stage: its values as numbers and its amplitude at 0 dB drive. */
export function stageConfig(kind: StageKind, stage: Pick<StageConfig, 'key' | 'on' | 'values'>): StageConfig {
  const { key, on, values } = stage;
  return { key, kind: kind.id, on, values, amplitude: alignmentAmplitude(kind, values) };
}

/**
 * Amplitudes of harmonics 0 to `highest` of a circuit driven with amplitude·cos θ, index n = harmonic n (index 0: DC).
 * The fundamental includes the straight line. A curve's are signed; a circuit with memory, which turns phases too, is
 * given `settle` seconds of its tone and its magnitudes are those of the period after them.
 * @param inputs the kernel's, see `circuitInputs`
 * @param continues a circuit goes on from what was asked of it last, instead of from rest
 */
export function harmonicsOf(
  circuit: Circuit,
  inputs: ArrayLike<number>,
  amplitude: number,
  highest: number,
  settle: number,
  continues = false,
): Float64Array {
  const probe = circuitProbe();
  probe.load(circuit, inputs);
  if (!circuit.isCurve) return magnitudes(probe.period(amplitude, settle, continues), amplitude, highest);
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

function magnitudes(added: Float64Array, amplitude: number, highest: number): Float64Array {
  const angle = (2 * Math.PI) / added.length;
  return Float64Array.from({ length: highest + 1 }, (_, n) => {
    let [real, imaginary] = [0, 0];
    for (let i = 0; i < added.length; i++) {
      const y = added[i] + amplitude * Math.cos(angle * i);
      real += y * Math.cos(angle * n * i);
      imaginary += y * Math.sin(angle * n * i);
    }
    return ((n === 0 ? 1 : 2) / added.length) * (n === 0 ? real : Math.hypot(real, imaginary));
  });
}

/** THD_F: root of the harmonics' summed squares against the fundamental. */
export function totalHarmonicDistortion(harmonics: Float64Array): number {
  let sum = 0;
  for (let n = 2; n < harmonics.length; n++) sum += harmonics[n] ** 2;
  return Math.sqrt(sum) / Math.abs(harmonics[1]);
}
