import FFT from 'fft.js';
import type { Planes } from '../rack-renderer.ts';

const BLOCK_SECONDS = 0.01;

/** How many lags are given, and how far apart they are at least: rhythms repeat, and each beat is as likely as the next. */
const MOST = 12;
const APART_SECONDS = 0.1;

/** The likeliest lags of `b` behind `a` by their envelopes, the best first, in samples to about a hundredth of a second. */
export function envelopeLags(a: Planes, b: Planes, sampleRate: number): number[] {
  const block = Math.max(1, Math.round(BLOCK_SECONDS * sampleRate));
  const x = envelope(a, block);
  const y = envelope(b, block);
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
  const at = (n: number) => spectrum[2 * ((n + size) % size)];
  const reach = Math.round((APART_SECONDS * sampleRate) / block);
  const isPeak = (n: number) => {
    for (let k = 1; k <= reach; k++) if (at(n - k) > at(n) || at(n + k) > at(n)) return false;
    return at(n) > 0;
  };
  const peaks = Array.from({ length: size }, (_, n) => n).filter(isPeak);
  peaks.sort((n, m) => at(m) - at(n));
  return peaks.slice(0, MOST).map((n) => (n < y.length ? n : n - size) * block);
}

/** RMS of every block, less the mean of them. */
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
