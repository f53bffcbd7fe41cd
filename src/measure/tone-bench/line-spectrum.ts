import FFT from 'fft.js';
import type { Band } from '../../dsp/harmonics.ts';
import type { Hertz } from '../../dsp/units.ts';

/** The band of AES17's THD+N (from memory), and the one in which aliases are heard. */
export const AUDIBLE: Band = { low: 20, high: 20_000 };

/**
 * Squared amplitudes of all lines of a signal that holds whole periods of its tones: a plain DFT in double precision,
 * no window. A·sin or A·cos on bin k reads A² there.
 */
export class LineSpectrum {
  readonly power: Float64Array;
  /** Mean, signed. */
  readonly dc: number;

  /** @param samples a power of two of at least 16 */
  constructor(
    samples: ArrayLike<number>,
    readonly sampleRate: Hertz,
  ) {
    const size = samples.length;
    const spectrum = new Float64Array(2 * size);
    new FFT(size).realTransform(spectrum, samples);
    this.dc = spectrum[0] / size;
    this.power = new Float64Array(size / 2);
    for (let bin = 1; bin < size / 2; bin++) {
      this.power[bin] = (spectrum[2 * bin] ** 2 + spectrum[2 * bin + 1] ** 2) * (2 / size) ** 2;
    }
  }

  get size(): number {
    return 2 * this.power.length;
  }

  frequencyOf(bin: number): Hertz {
    return (bin * this.sampleRate) / this.size;
  }

  amplitude(bin: number): number {
    return Math.sqrt(this.power[bin]);
  }

  /** Sum of all lines inside a band but the one at bin `left`; DC is never among them. */
  bandPower({ low, high }: Band, left = 0): number {
    const first = Math.max(1, Math.ceil((low * this.size) / this.sampleRate));
    const last = Math.min(this.power.length - 1, Math.floor((high * this.size) / this.sampleRate));
    let sum = 0;
    for (let bin = first; bin <= last; bin++) if (bin !== left) sum += this.power[bin];
    return sum;
  }

  /**
   * Power that lines of noise rarely reach: 16 times the median of all lines. The lines of noise have exponentially
   * distributed power, of which one in 2^16 exceeds that; the few lines of tones and products don't move a median.
   */
  floorPower(): number {
    const sorted = this.power.slice(1).sort();
    return 16 * sorted[sorted.length >> 1];
  }
}
