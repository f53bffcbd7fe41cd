import FFT from 'fft.js';
import type { Planes } from '../../render/rack-renderer.ts';

/**
 * Cross-spectra of two signals of one or two planes, summed over the planes: S(k) = Σ conj(A(k))·B(k). Both planes go
 * through one complex transform as left + i·right, whose cross-spectrum C holds twice what is wanted:
 * S(k) = (C(k) + conj(C(−k)))/2.
 */
export class PairTransform {
  private readonly fft: FFT;
  private readonly frame: Float64Array;
  private readonly a: Float64Array;
  private readonly b: Float64Array;

  /** @param size a power of two */
  constructor(readonly size: number) {
    this.fft = new FFT(size);
    this.frame = new Float64Array(2 * size);
    this.a = new Float64Array(2 * size);
    this.b = new Float64Array(2 * size);
  }

  /** Loads `count` samples from `from` on, times `window`, before zeros; what lies outside the signal is 0. */
  load(which: 'a' | 'b', planes: Planes, from: number, count: number, window?: Float64Array): void {
    const { frame } = this;
    frame.fill(0);
    const { length } = planes[0];
    const right = planes[Math.min(1, planes.length - 1)];
    const stop = Math.min(count, length - from);
    for (let i = Math.max(0, -from); i < stop; i++) {
      const w = window ? window[i] : 1;
      frame[2 * i] = w * finite(planes[0][from + i]);
      frame[2 * i + 1] = w * finite(right[from + i]);
    }
    this.fft.transform(this[which], frame);
  }

  /** Adds S to `re` and `im` and the powers of both to `paa` and `pbb`, bins 0 to size/2. */
  accumulate(re: Float64Array, im: Float64Array, paa: Float64Array, pbb: Float64Array): void {
    const { a, b, size } = this;
    for (let k = 0; k <= size / 2; k++) {
      const p = 2 * k;
      const q = 2 * ((size - k) % size);
      re[k] += 0.5 * (a[p] * b[p] + a[p + 1] * b[p + 1] + a[q] * b[q] + a[q + 1] * b[q + 1]);
      im[k] += 0.5 * (a[p] * b[p + 1] - a[p + 1] * b[p] - (a[q] * b[q + 1] - a[q + 1] * b[q]));
      paa[k] += 0.5 * (a[p] ** 2 + a[p + 1] ** 2 + a[q] ** 2 + a[q + 1] ** 2);
      pbb[k] += 0.5 * (b[p] ** 2 + b[p + 1] ** 2 + b[q] ** 2 + b[q + 1] ** 2);
    }
  }

  /**
   * Adds conj(A(k))·B(k) to `straight` and A(−k)·B(k) to `crossed`, both complex and of all bins. Their correlations are
   * ll + rr + i(lr − rl) and ll − rr + i(lr + rl): together they hold all four pairs of sides, none of which cancels.
   */
  accumulatePairs(straight: Float64Array, crossed: Float64Array): void {
    const { a, b, size } = this;
    for (let k = 0; k < size; k++) {
      const p = 2 * k;
      const q = 2 * ((size - k) % size);
      straight[p] += a[p] * b[p] + a[p + 1] * b[p + 1];
      straight[p + 1] += a[p] * b[p + 1] - a[p + 1] * b[p];
      crossed[p] += a[q] * b[p] - a[q + 1] * b[p + 1];
      crossed[p + 1] += a[q] * b[p + 1] + a[q + 1] * b[p];
    }
  }

  /**
   * Power of the correlations of all four pairs at every lag, each bin divided by the root of its size, so that no tone
   * outweighs all; both spectra are changed.
   */
  pairCorrelation(straight: Float64Array, crossed: Float64Array): Float64Array {
    const { size } = this;
    const out = new Float64Array(size);
    const power = (k: number) =>
      straight[2 * k] ** 2 + straight[2 * k + 1] ** 2 + crossed[2 * k] ** 2 + crossed[2 * k + 1] ** 2;
    const weights = new Float64Array(size / 2 + 1);
    for (let k = 0; k <= size / 2; k++) {
      const sum = power(k) + power((size - k) % size);
      weights[k] = sum > 0 ? sum ** -0.25 : 0;
    }
    for (const spectrum of [straight, crossed]) {
      for (let k = 0; k < size; k++) {
        const weight = weights[Math.min(k, size - k)];
        spectrum[2 * k] *= weight;
        spectrum[2 * k + 1] *= weight;
      }
      this.fft.inverseTransform(this.a, spectrum);
      for (let i = 0; i < size; i++) out[i] += this.a[2 * i] ** 2 + this.a[2 * i + 1] ** 2;
    }
    return out;
  }
}

function finite(x: number): number {
  return x - x === 0 ? x : 0;
}
