import { besselI0 } from './kaiser.ts';
import type { Hertz } from './units.ts';

/*
 * One windowed-sinc resampler. The ideal low-pass sinc is cut off by a Kaiser window, whose length and shape follow
 * from the attenuation and the transition's width (J. F. Kaiser, "Nonrecursive digital filter design using the I0-sinh
 * window function", ISCAS 1974; Oppenheim and Schafer, Discrete-Time Signal Processing, section 7.6; as
 * SciPy's documentation quotes them: docs/reference-values.md, section 10):
 *
 *   β = 0.1102·(A − 8.7) for A > 50 dB          N = (A − 7.95) / (2.285·Δω), Δω in radians a sample
 */

/** Up to this part of the lower rate's Nyquist frequency the response is flat; error below −120 dB there. */
export const RESAMPLER_PASSBAND = 0.9;
/** From this part of it on, everything is gone: nothing folds back, not even into the transition band. */
export const RESAMPLER_STOPBAND = 1;

/** Design attenuation and ripple, dB: more than the 120 that are promised, since several images add up. */
const ATTENUATION = 135;
const BETA = 0.1102 * (ATTENUATION - 8.7);
const TRANSITION = Math.PI * (RESAMPLER_STOPBAND - RESAMPLER_PASSBAND);
/** Half the kernel's length, in samples of the lower rate. */
const HALF_LENGTH = (ATTENUATION - 7.95) / (2.285 * TRANSITION) / 2;
/** Cut-off in the middle of the transition, as part of the lower Nyquist frequency. */
const CUTOFF = (RESAMPLER_PASSBAND + RESAMPLER_STOPBAND) / 2;

/** Above this many phases a table of them all would be too big. */
const MAX_PHASES = 2048;
/**
 * Phases of the fine table. Between them four neighbours are interpolated by a cubic, with an error of at most
 * (3/128)·(π/256)⁴, −185 dB, for a kernel with nothing above the input's Nyquist frequency.
 */
const FINE_PHASES = 256;

/** Results between two pauses: some 10 ms of work. */
const STEP_SAMPLES = 1 << 16;

interface Kernel {
  /** Taps of every phase one after another: `taps` to a phase, each in time order of the input. */
  table: Float64Array;
  taps: number;
  /** Input samples before the one at or before the wanted instant that the first tap lies on. */
  before: number;
}

/**
 * The kernel at `phases` instants between two input samples, and at `extra` more of the same spacing on each side.
 * @param ratio output rate over input rate
 */
function makeKernel(ratio: number, phases: number, extra: number): Kernel {
  // The lower of the two rates rules the band: its samples are 1/ratio input samples long when it is the output's.
  const band = Math.min(1, ratio);
  const half = HALF_LENGTH / band;
  const cutoff = CUTOFF * band;
  const before = Math.ceil(half);
  const taps = 2 * before + 2;
  const rows = phases + 2 * extra;
  const table = new Float64Array(rows * taps);
  const atCentre = besselI0(BETA);
  for (let row = 0; row < rows; row++) {
    const offset = (row - extra) / phases;
    for (let tap = 0; tap < taps; tap++) {
      const t = offset + before - tap;
      const x = t / half;
      if (Math.abs(x) >= 1) continue;
      const angle = Math.PI * cutoff * t;
      const sinc = angle === 0 ? 1 : Math.sin(angle) / angle;
      table[row * taps + tap] = (cutoff * sinc * besselI0(BETA * Math.sqrt(1 - x * x))) / atCentre;
    }
  }
  return { table, taps, before };
}

/** Sum of products in double precision; four sums at once, since one would wait for itself at each step. */
function dot(input: Float32Array, at: number, table: Float64Array, row: number, taps: number): number {
  let a = 0;
  let b = 0;
  let c = 0;
  let d = 0;
  let i = 0;
  for (; i + 3 < taps; i += 4) {
    a += input[at + i] * table[row + i];
    b += input[at + i + 1] * table[row + i + 1];
    c += input[at + i + 2] * table[row + i + 2];
    d += input[at + i + 3] * table[row + i + 3];
  }
  for (; i < taps; i++) a += input[at + i] * table[row + i];
  return a + b + (c + d);
}

function greatestCommonDivisor(a: number, b: number): number {
  while (b > 0) [a, b] = [b, a % b];
  return a;
}

/**
 * Resamples one channel, without delay: output sample n is the sound at the instant n/toRate, sample 0 at sample 0.
 *
 * Up to 0.9 of the lower rate's Nyquist frequency the result differs from the ideal by less than −120 dB of the signal
 * (images and aliases included); from that Nyquist frequency on, the input is suppressed by more than 120 dB. Before
 * and after the input is silence. Sums are in double precision.
 *
 * @param input one channel
 * @param fromRate its rate; any positive rate, whole or not
 * @param toRate the wanted rate
 * @returns a new array of round(length·toRate/fromRate) samples; a copy if the rates are equal
 * @throws RangeError if a rate isn't a positive number
 */
export function resample(input: Float32Array, fromRate: Hertz, toRate: Hertz): Float32Array<ArrayBuffer> {
  const { output, fill } = resampling(input, fromRate, toRate);
  fill(0, output.length);
  return output;
}

/** The same with pauses: a generator that yields after every STEP_SAMPLES of the result. */
export function* resampleSteps(
  input: Float32Array,
  fromRate: Hertz,
  toRate: Hertz,
): Generator<void, Float32Array<ArrayBuffer>> {
  const { output, fill } = resampling(input, fromRate, toRate);
  for (let n = 0; n < output.length; n += STEP_SAMPLES) {
    fill(n, Math.min(n + STEP_SAMPLES, output.length));
    yield;
  }
  return output;
}

interface Resampling {
  readonly output: Float32Array<ArrayBuffer>;
  /** Reckons a stretch of the output. */
  fill(from: number, to: number): void;
}

function resampling(input: Float32Array, fromRate: Hertz, toRate: Hertz): Resampling {
  if (!(fromRate > 0 && toRate > 0 && Number.isFinite(fromRate + toRate))) {
    throw new RangeError(`Can't resample from ${fromRate} to ${toRate} Hz: both rates must be above 0.`);
  }
  if (fromRate === toRate) return { output: new Float32Array(input), fill: () => undefined };
  const output = new Float32Array(Math.round((input.length * toRate) / fromRate));
  const whole = Number.isInteger(fromRate) && Number.isInteger(toRate);
  const divisor = whole ? greatestCommonDivisor(fromRate, toRate) : 0;
  const exact = whole && toRate / divisor <= MAX_PHASES;
  const phases = exact ? toRate / divisor : FINE_PHASES;
  const { table, taps, before } = makeKernel(toRate / fromRate, phases, exact ? 0 : 2);
  const padded = new Float32Array(input.length + 2 * taps);
  padded.set(input, before);
  const fillExactly = (from: number, to: number) => {
    const step = fromRate / divisor;
    const wholeStep = Math.floor(step / phases);
    const phaseStep = step % phases;
    let at = Math.floor((from * step) / phases);
    let phase = (from * step) % phases;
    for (let n = from; n < to; n++) {
      output[n] = dot(padded, at, table, phase * taps, taps);
      at += wholeStep;
      phase += phaseStep;
      if (phase >= phases) {
        phase -= phases;
        at++;
      }
    }
  };
  const fillFinely = (from: number, to: number) => {
    for (let n = from; n < to; n++) {
      const time = (n * fromRate) / toRate;
      const at = Math.floor(time);
      const phase = (time - at) * phases;
      const row = Math.floor(phase);
      // Row 0 of the table is two phases early, so the four neighbours of `phase` start at row + 1.
      const y = (k: number) => dot(padded, at, table, (row + 1 + k) * taps, taps);
      output[n] = cubic(phase - row, y(0), y(1), y(2), y(3));
    }
  };
  return { output, fill: exact ? fillExactly : fillFinely };
}

/** Lagrange's cubic through (−1, a), (0, b), (1, c), (2, d), at 0 ≤ x ≤ 1. */
function cubic(x: number, a: number, b: number, c: number, d: number): number {
  const before = x + 1;
  const after = x - 1;
  const far = x - 2;
  return (
    (-a * x * after * far) / 6 +
    (b * before * after * far) / 2 -
    (c * before * x * far) / 2 +
    (d * before * x * after) / 6
  );
}
