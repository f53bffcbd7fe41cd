import { solveEquations } from '../dsp/linear-equations.ts';

/**
 * Time constants, in samples, of the one-pole low-passes whose sum stands for a filter's long memory: an octave apart, from
 * what a window of 4096 samples sees for itself to most of a second.
 */
const TIME_CONSTANTS = [160, 320, 640, 1280, 2560, 5120, 10_240, 20_480, 40_960];
/** Keeps low-passes of a sound without lows, which are nearly the same, from cancelling each other; a share of their power. */
const RIDGE = 1e-10;
const STEP = 65_536;

/**
 * `output` less what a slow linear filter makes of `input`: of it and low-passes of it, fitted by least squares in the lows,
 * the low-passes' part is taken away. What is left has no linear memory longer than about 160 samples.
 */
export function* withoutSlowFilters(input: Float32Array, output: Float32Array): Generator<void, Float32Array> {
  const count = TIME_CONSTANTS.length + 1;
  const matrix = Array.from({ length: count }, () => new Float64Array(count));
  const right = new Float64Array(count);
  const row = new Float64Array(count);
  const shares = TIME_CONSTANTS.map((samples) => 1 - Math.exp(-1 / samples));
  const advance = (x: number) => {
    row[0] = x;
    for (let n = 1; n < count; n++) row[n] += shares[n - 1] * (x - row[n]);
  };
  // Only the lows are fitted, or what a filter does to the highs would weigh more there than it matters.
  let [low, lowOutput] = [0, 0];
  for (let i = 0; i < output.length; i++) {
    low += shares[0] * (input[i] - low);
    lowOutput += shares[0] * (output[i] - lowOutput);
    advance(low);
    for (let n = 0; n < count; n++) {
      right[n] += row[n] * lowOutput;
      for (let m = 0; m <= n; m++) matrix[n][m] += row[n] * row[m];
    }
    if (i % STEP === 0) yield;
  }
  for (let n = 0; n < count; n++) {
    for (let m = 0; m < n; m++) matrix[m][n] = matrix[n][m];
  }
  if (!(matrix[0][0] > 0)) return output;
  for (let n = 0; n < count; n++) matrix[n][n] *= 1 + RIDGE;
  const fitted = solveEquations(matrix, right);
  const rest = new Float32Array(output.length);
  row.fill(0);
  for (let i = 0; i < output.length; i++) {
    advance(input[i]);
    let slow = 0;
    for (let n = 1; n < count; n++) slow += fitted[n] * row[n];
    rest[i] = output[i] - slow;
    if (i % STEP === 0) yield;
  }
  return rest;
}
