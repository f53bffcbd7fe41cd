import FFT from 'fft.js';
import type { Hertz, Seconds } from './units.ts';
import type { WindowName } from './windows.ts';
import { makeWindow } from './windows.ts';

export interface PairSpectrumOptions {
  /** Samples in a frame, a power of two. */
  readonly size: number;
  readonly sampleRate: Hertz;
  readonly window: WindowName;
  /** Time constant of the power average; 0 shows the last frame alone. */
  readonly timeConstant: Seconds;
}

/**
 * Averaged spectra of two stereo signals and of what the second has that no linear filter of the first explains:
 * added = Pyy − |Pxy|²/Pxx (one minus the magnitude-squared coherence; Welch's method with an exponential average, from
 * memory). DC is taken off each frame before the window and kept apart, so it never shows as sub-bass. Both channels'
 * powers are averaged, so a sine that plays on both sides reads its own peak level.
 *
 * With few frames in the average the added part reads low: one frame is always explained by a filter of its own. It
 * settles within about two time constants.
 *
 * Nothing allocates after construction.
 */
export class PairSpectrum {
  /** Squared peak amplitude per bin (see `SpectrumAnalyser`), size/2 + 1 bins. */
  readonly first: Float64Array;
  readonly second: Float64Array;
  readonly added: Float64Array;
  /** Averaged DC of the channel with the larger one, full scale ±1. */
  firstDc = 0;
  secondDc = 0;

  private readonly fft: FFT;
  private readonly window: Float64Array;
  private readonly windowSum: number;
  private readonly frame: Float64Array;
  private readonly spectrum: Float64Array;
  /** Per channel: Pxx, Pyy, Re Pxy, Im Pxy. */
  private readonly averages: readonly (readonly Float64Array[])[];
  private frames = 0;

  /** @throws RangeError if size isn't a power of two of at least 16 */
  constructor(readonly options: PairSpectrumOptions) {
    const { size, window } = options;
    if (size < 16 || !Number.isInteger(Math.log2(size))) {
      throw new RangeError(`A spectrum needs a power of two of at least 16 samples, not ${size}.`);
    }
    this.fft = new FFT(size);
    this.window = makeWindow(window, size);
    this.windowSum = this.window.reduce((a, b) => a + b, 0);
    this.frame = new Float64Array(2 * size);
    this.spectrum = new Float64Array(2 * size);
    const bins = size / 2 + 1;
    this.first = new Float64Array(bins);
    this.second = new Float64Array(bins);
    this.added = new Float64Array(bins);
    this.averages = [0, 1].map(() => Array.from({ length: 4 }, () => new Float64Array(bins)));
  }

  reset(): void {
    this.frames = 0;
    this.firstDc = 0;
    this.secondDc = 0;
    for (const channel of this.averages) for (const average of channel) average.fill(0);
    for (const power of [this.first, this.second, this.added]) power.fill(0);
  }

  /**
   * Takes in one frame of both signals' two planes: `size` samples from `offset` on.
   * @param hopSeconds time since the frame before, for the average
   */
  push(first: readonly Float32Array[], second: readonly Float32Array[], offset: number, hopSeconds: Seconds): void {
    const { timeConstant } = this.options;
    const share = this.frames === 0 || timeConstant <= 0 ? 1 : -Math.expm1(-hopSeconds / timeConstant);
    this.frames++;
    let firstDc = 0;
    let secondDc = 0;
    for (let channel = 0; channel < 2; channel++) {
      const x = this.load(first[channel], offset, 0);
      const y = this.load(second[channel], offset, 1);
      if (Math.abs(x) > Math.abs(firstDc)) firstDc = x;
      if (Math.abs(y) > Math.abs(secondDc)) secondDc = y;
      this.average(this.averages[channel], share);
    }
    this.firstDc += share * (firstDc - this.firstDc);
    this.secondDc += share * (secondDc - this.secondDc);
    this.combine();
  }

  /** Windows one plane, less its windowed mean, into the real (0) or imaginary (1) parts; returns the mean. */
  private load(plane: Float32Array, offset: number, part: 0 | 1): number {
    const { window, frame } = this;
    const { size } = this.options;
    let sum = 0;
    for (let i = 0; i < size; i++) sum += window[i] * plane[offset + i];
    const mean = sum / this.windowSum;
    for (let i = 0; i < size; i++) frame[2 * i + part] = window[i] * (plane[offset + i] - mean);
    return mean;
  }

  /** Both real signals come out of one complex transform: Z = X + iY. */
  private average([pxx, pyy, re, im]: readonly Float64Array[], share: number): void {
    const { spectrum } = this;
    const { size } = this.options;
    const scale = (2 / this.windowSum) ** 2;
    this.fft.transform(spectrum, this.frame);
    for (let k = 1; k < size / 2; k++) {
      const m = 2 * (size - k);
      const xr = 0.5 * (spectrum[2 * k] + spectrum[m]);
      const xi = 0.5 * (spectrum[2 * k + 1] - spectrum[m + 1]);
      const yr = 0.5 * (spectrum[2 * k + 1] + spectrum[m + 1]);
      const yi = 0.5 * (spectrum[m] - spectrum[2 * k]);
      pxx[k] += share * (scale * (xr * xr + xi * xi) - pxx[k]);
      pyy[k] += share * (scale * (yr * yr + yi * yi) - pyy[k]);
      re[k] += share * (scale * (xr * yr + xi * yi) - re[k]);
      im[k] += share * (scale * (xr * yi - xi * yr) - im[k]);
    }
  }

  private combine(): void {
    const [left, right] = this.averages;
    for (let k = 1; k < this.options.size / 2; k++) {
      this.first[k] = 0.5 * (left[0][k] + right[0][k]);
      this.second[k] = 0.5 * (left[1][k] + right[1][k]);
      this.added[k] = 0.5 * (unexplained(left, k) + unexplained(right, k));
    }
  }
}

function unexplained([pxx, pyy, re, im]: readonly Float64Array[], k: number): number {
  if (pxx[k] === 0) return pyy[k];
  return Math.max(0, pyy[k] - (re[k] * re[k] + im[k] * im[k]) / pxx[k]);
}
