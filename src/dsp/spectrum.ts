/** Averaged power spectrum whose peaks read a sine's peak level, with DC kept apart. */
import FFT from 'fft.js';
import type { Hertz, Seconds } from './units.ts';
import type { WindowName } from './windows.ts';
import { makeWindow } from './windows.ts';

/**
 * One frame after another goes in, an exponential power average comes out.
 *
 * DC is estimated as the window-weighted mean Σwx/Σw and taken off before the window is applied. So bin 0 is exactly
 * empty, a constant leaves no skirt over the lowest bins, and a low tone outside the window's main lobe isn't touched.
 * After construction nothing allocates.
 */
export class SpectrumAnalyser {
  /**
   * Averaged power of `size`/2 + 1 bins, as squared peak amplitude: 10·log10 of a bin-centred sine's bin is its peak
   * level in dBFS. For noise density divide by 2·enbw·(rate/size).
   */
  readonly power: Float64Array;
  /** Averaged DC, signed, full scale ±1. */
  dc = 0;
  /** Time constant of the average; 0 shows the last frame alone. */
  timeConstant: Seconds = 0;
  private readonly fft: FFT;
  private readonly window: Float64Array;
  private readonly windowSum: number;
  private readonly frame: Float64Array;
  private readonly spectrum: Float64Array;
  private frames = 0;

  /** @throws RangeError if size isn't a power of two of at least 16 */
  constructor(
    readonly size: number,
    window: WindowName,
    readonly sampleRate: Hertz,
  ) {
    if (size < 16 || !Number.isInteger(Math.log2(size))) {
      throw new RangeError(`A spectrum needs a power of two of at least 16 samples, not ${size}.`);
    }
    this.fft = new FFT(size);
    this.window = makeWindow(window, size);
    this.windowSum = this.window.reduce((sum, w) => sum + w, 0);
    this.frame = new Float64Array(size);
    this.spectrum = new Float64Array(2 * size);
    this.power = new Float64Array(size / 2 + 1);
  }

  /** Forgets all frames. */
  reset(): void {
    this.frames = 0;
    this.dc = 0;
    this.power.fill(0);
  }

  frequencyOf(bin: number): Hertz {
    return (bin * this.sampleRate) / this.size;
  }

  /**
   * Takes in one frame of `size` samples of `data` from `offset` on; samples beyond its end and not finite ones count
   * as 0.
   * @param hopSeconds time since the frame before, for the average
   */
  push(data: Float32Array | Float64Array, offset = 0, hopSeconds: Seconds = this.size / this.sampleRate): void {
    const dc = this.windowed(data, offset);
    this.fft.realTransform(this.spectrum, this.frame);
    // A first frame stands for itself; later ones by 1 − e^(−hop/τ).
    const share = this.frames === 0 || this.timeConstant <= 0 ? 1 : -Math.expm1(-hopSeconds / this.timeConstant);
    this.frames++;
    this.dc += share * (dc - this.dc);
    const { power, spectrum, size } = this;
    // A sine of amplitude A puts A·Σw/2 on its bin; the bin at half the rate holds both halves at once.
    const scale = (2 / this.windowSum) ** 2;
    for (let bin = 1; bin < size / 2; bin++) {
      const re = spectrum[2 * bin];
      const im = spectrum[2 * bin + 1];
      power[bin] += share * (scale * (re * re + im * im) - power[bin]);
    }
    const nyquist = spectrum[size];
    power[size / 2] += share * ((scale / 4) * nyquist * nyquist - power[size / 2]);
  }

  /** Fills the frame, without its DC and windowed, and returns that DC. */
  private windowed(data: Float32Array | Float64Array, offset: number): number {
    const { frame, window, size } = this;
    const available = Math.max(0, Math.min(size, data.length - offset));
    let weighted = 0;
    for (let i = 0; i < available; i++) {
      const x = data[offset + i];
      frame[i] = x - x === 0 ? x : 0;
      weighted += window[i] * frame[i];
    }
    frame.fill(0, available);
    const dc = weighted / this.windowSum;
    for (let i = 0; i < size; i++) frame[i] = (frame[i] - dc) * window[i];
    return dc;
  }
}

export { type LogAxis, logBandCentre, logBands } from './log-bands.ts';
