import FFT from 'fft.js';
import type { Planes } from '../../render/rack-renderer.ts';

const BLOCK_SECONDS = 0.005;

/** How many lags are given, and how far apart they are at least: rhythms repeat, and each beat is as likely as the next. */
const MOST = 16;
const APART_SECONDS = 0.1;
/** Two envelopes that meet for less say nothing. */
const LEAST_BLOCKS = 20;

/**
 * The likeliest lags of `b` behind `a` by their envelopes, the best first, in samples to about a hundredth of a second.
 * What counts is the correlation coefficient r of the stretch that both have, times the root of its length, as for its
 * significance: an excerpt is told from a louder place like it.
 */
export function envelopeLags(a: Planes, b: Planes, sampleRate: number): number[] {
  const block = Math.max(1, Math.round(BLOCK_SECONDS * sampleRate));
  const x = envelope(a, block);
  const y = envelope(b, block);
  const products = crossProducts(x, y);
  const size = products.length;
  const [xSum, xSquares, ySum, ySquares] = [runningSum(x, 1), runningSum(x, 2), runningSum(y, 1), runningSum(y, 2)];
  const scores = new Float64Array(size);
  for (let lag = -x.length + LEAST_BLOCKS; lag <= y.length - LEAST_BLOCKS; lag++) {
    const from = Math.max(0, -lag);
    const to = Math.min(x.length, y.length - lag);
    const count = to - from;
    if (count < LEAST_BLOCKS) continue;
    const over = (sum: Float64Array, by = 0) => sum[to + by] - sum[from + by];
    const xx = over(xSquares) - over(xSum) ** 2 / count;
    const yy = over(ySquares, lag) - over(ySum, lag) ** 2 / count;
    const xy = products[(lag + size) % size] - (over(xSum) * over(ySum, lag)) / count;
    if (xx > 0 && yy > 0) scores[(lag + size) % size] = (xy / Math.sqrt(xx * yy)) * Math.sqrt(count);
  }
  const at = (n: number) => scores[(n + size) % size];
  const reach = Math.round((APART_SECONDS * sampleRate) / block);
  const isPeak = (n: number) => {
    for (let k = 1; k <= reach; k++) if (at(n - k) > at(n) || at(n + k) > at(n)) return false;
    return at(n) > 0;
  };
  const peaks = Array.from({ length: size }, (_, n) => n).filter(isPeak);
  peaks.sort((n, m) => at(m) - at(n));
  return peaks.slice(0, MOST).map((n) => (n < y.length ? n : n - size) * block);
}

/** Σ x[i]·y[i + n] for every lag n, at n modulo the length. */
function crossProducts(x: Float64Array, y: Float64Array): Float64Array {
  const size = 2 ** Math.max(2, Math.ceil(Math.log2(x.length + y.length + 1)));
  const fft = new FFT(size);
  // Both real: x in the real, y in the imaginary parts.
  const frame = new Float64Array(2 * size);
  for (let i = 0; i < x.length; i++) frame[2 * i] = x[i];
  for (let i = 0; i < y.length; i++) frame[2 * i + 1] = y[i];
  const spectrum = new Float64Array(2 * size);
  fft.transform(spectrum, frame);
  for (let k = 0; k < size; k++) {
    const m = 2 * ((size - k) % size);
    const xr = 0.5 * (spectrum[2 * k] + spectrum[m]);
    const xi = 0.5 * (spectrum[2 * k + 1] - spectrum[m + 1]);
    const yr = 0.5 * (spectrum[2 * k + 1] + spectrum[m + 1]);
    const yi = 0.5 * (spectrum[m] - spectrum[2 * k]);
    frame[2 * k] = xr * yr + xi * yi;
    frame[2 * k + 1] = xr * yi - xi * yr;
  }
  fft.inverseTransform(spectrum, frame);
  return Float64Array.from({ length: size }, (_, i) => spectrum[2 * i]);
}

/** Sums of the first n values, each to a power. */
function runningSum(values: Float64Array, power: 1 | 2): Float64Array {
  const out = new Float64Array(values.length + 1);
  for (let i = 0; i < values.length; i++) out[i + 1] = out[i] + values[i] ** power;
  return out;
}

/** RMS of every block, less the mean of them all, so that sums of squares stay exact. */
function envelope(planes: Planes, block: number): Float64Array {
  const out = new Float64Array(Math.ceil(planes[0].length / block));
  for (const plane of planes) {
    for (let i = 0; i < plane.length; i++) out[Math.floor(i / block)] += plane[i] * plane[i];
  }
  let mean = 0;
  for (let i = 0; i < out.length; i++) mean += out[i] = Number.isFinite(out[i]) ? Math.sqrt(out[i]) : 0;
  mean /= Math.max(1, out.length);
  return out.map((x) => x - mean);
}
