import FFT from 'fft.js';
import { makeWindow } from '../dsp/windows.ts';
import type { Planes } from '../render/rack-renderer.ts';
import { withoutSlowFilters } from './slow-filters.ts';

const SIZE = 4096;

/**
 * Share of the output that no linear filter of the input explains, in per cent of amplitude: √(Σ(1 − γ²)·Pyy / ΣPyy),
 * with the magnitude-squared coherence γ² estimated by Welch's method (Welch 1967; Hann windows of 4096 samples,
 * half overlapped; from memory). A static gain, a filter or a delay within the window adds nothing.
 * A window only sees filters that are short against it, so what a slow one makes of the input, a circuit's coupling
 * capacitors for one, is fitted and taken out of the output beforehand (`withoutSlowFilters`).
 *
 * A filter fitted to few windows explains some of what it has nothing to do with: of noise that is 1 − γ², the estimate
 * holds (1 − 1/K) on average, K being the windows' number as independent ones (the bias of coherence: Carter, Knapp and
 * Nuttall 1973, from memory; the test's Monte Carlo shows it). That is made up for, so a short file reads like a long
 * one; what remains is scatter. Null for silence or less than two windows.
 */
export function* addedPercent(input: Planes, output: Planes): Generator<void, number | null> {
  const length = Math.min(input[0].length, output[0].length);
  if (length < 2 * SIZE) return null;
  const fft = new FFT(SIZE);
  const window = makeWindow('hann', SIZE);
  const bins = SIZE / 2 + 1;
  const x = new Float64Array(SIZE * 2);
  const spectrum = new Float64Array(SIZE * 2);
  let unexplained = 0;
  let total = 0;
  for (let channel = 0; channel < output.length; channel++) {
    const pxx = new Float64Array(bins);
    const pyy = new Float64Array(bins);
    const re = new Float64Array(bins);
    const im = new Float64Array(bins);
    const a = input[Math.min(channel, input.length - 1)];
    const whole = output[channel].subarray(0, length);
    const b = yield* withoutSlowFilters(a, whole);
    let count = 0;
    for (let at = 0; at + SIZE <= length; at += SIZE / 2, count++) {
      // Both real signals in one complex transform: Z = X + iY.
      let [energy, mean] = [0, 0];
      for (let i = 0; i < SIZE; i++) {
        x[2 * i] = window[i] * a[at + i];
        x[2 * i + 1] = window[i] * b[at + i];
        const y = window[i] * whole[at + i];
        energy += y * y;
        mean += y;
      }
      // Parseval: what the bins between 0 Hz and half the rate would sum up to.
      total += (SIZE * energy - mean * mean) / 2;
      fft.transform(spectrum, x);
      for (let k = 1; k < bins - 1; k++) {
        const mirror = 2 * (SIZE - k);
        const zr = spectrum[2 * k];
        const zi = spectrum[2 * k + 1];
        const mr = spectrum[mirror];
        const mi = spectrum[mirror + 1];
        const xr = 0.5 * (zr + mr);
        const xi = 0.5 * (zi - mi);
        const yr = 0.5 * (zi + mi);
        const yi = 0.5 * (mr - zr);
        pxx[k] += xr * xr + xi * xi;
        pyy[k] += yr * yr + yi * yi;
        re[k] += xr * yr + xi * yi;
        im[k] += xr * yi - xi * yr;
      }
      if (count % 16 === 0) yield;
    }
    const independent = independentWindows(count);
    const unbias = independent / (independent - 1);
    for (let k = 1; k < bins - 1; k++) {
      const explained = pxx[k] > 0 ? (re[k] * re[k] + im[k] * im[k]) / pxx[k] : 0;
      unexplained += unbias * Math.max(0, pyy[k] - explained);
    }
  }
  return total > 0 ? 100 * Math.sqrt(Math.min(1, unexplained / total)) : null;
}

/**
 * How many windows without overlap say as much as `count` Hann windows half overlapped: neighbours have a correlation of
 * Σw(n)·w(n + N/2)/Σw² = 1/6, and only they (Welch 1967, from memory: count/(1 + 2·(1 − 1/count)/6²)).
 */
function independentWindows(count: number): number {
  return count / (1 + (2 * (1 - 1 / count)) / 36);
}

/** Gain of `a` that leaves least of `b`: Σab/Σa², over all planes; 1 for silence. */
export function bestGain(a: Planes, b: Planes): number {
  let cross = 0;
  let power = 0;
  for (let channel = 0; channel < b.length; channel++) {
    const x = a[Math.min(channel, a.length - 1)];
    const y = b[channel];
    for (let i = 0; i < y.length; i++) {
      cross += x[i] * y[i];
      power += x[i] * x[i];
    }
  }
  return power > 0 ? cross / power : 1;
}
