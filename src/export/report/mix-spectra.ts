import FFT from 'fft.js';
import { logBandCentre, logBands } from '../../dsp/log-bands.ts';
import { THIRD_OCTAVE_CENTRES, thirdOctaveDifference } from '../../dsp/third-octaves.ts';
import { orNull, powerToDb } from '../../dsp/units.ts';
import { makeWindow } from '../../dsp/windows.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import type { SessionReport } from './report-model.ts';

const SIZE = 1 << 15;
const HALF_BAND = 10 ** 0.05;
const AXIS = { from: 20, to: 20_000, count: 241 } as const;
/** Bands this far below the strongest are not heard beside it. */
const TONE_FLOOR_DB = 60;
/** What lies lower is not drawn, dB. */
const FLOOR_DB = -160;

/**
 * Spectra of two stereo signals averaged over all they are given (Welch's method, Hann frames that half overlap), and
 * of what no linear filter of the first explains in the second: Pyy·(1 − γ²). Memory is the same for any length.
 */
export class MixSpectra {
  private readonly fft = new FFT(SIZE);
  private readonly window = makeWindow('hann', SIZE);
  private readonly frame = new Float64Array(2 * SIZE);
  private readonly spectrum = new Float64Array(2 * SIZE);
  /** Per channel: Pxx, Pyy, Re Pxy, Im Pxy. */
  private readonly sums = [0, 1].map(() => Array.from({ length: 4 }, () => new Float64Array(SIZE / 2 + 1)));
  private readonly held = Array.from({ length: 4 }, () => new Float32Array(SIZE));
  private count = 0;
  private frames = 0;

  constructor(private readonly sampleRate: number) {}

  /** Takes in `count` frames of both signals. */
  push(first: Planes, second: Planes, count: number): void {
    const planes = [first[0], first[1], second[0], second[1]];
    for (let done = 0; done < count; ) {
      const take = Math.min(count - done, SIZE - this.count);
      planes.forEach((plane, i) => {
        this.held[i].set(plane.subarray(done, done + take), this.count);
      });
      this.count += take;
      done += take;
      if (this.count < SIZE) continue;
      this.average();
      for (const plane of this.held) plane.copyWithin(0, SIZE / 2);
      this.count = SIZE / 2;
    }
  }

  /** What was taken in so far; a recording shorter than a frame counts as one with silence behind it. */
  result(): Pick<SessionReport['mix'], 'toneDb' | 'spectrum'> {
    if (this.frames === 0) {
      for (const plane of this.held) plane.fill(0, this.count);
      this.average();
    }
    const sum = (pick: (channel: readonly Float64Array[], k: number) => number) =>
      Float64Array.from({ length: SIZE / 2 + 1 }, (_, k) => (pick(this.sums[0], k) + pick(this.sums[1], k)) / 2);
    const a = sum(([pxx], k) => pxx[k]);
    const b = sum(([, pyy], k) => pyy[k]);
    const added = sum(([pxx, pyy, re, im], k) =>
      pxx[k] > 0 ? Math.max(0, pyy[k] - (re[k] ** 2 + im[k] ** 2) / pxx[k]) : pyy[k],
    );
    const scale = (2 / (SIZE / 2)) ** 2 / this.frames;
    const level = (bands: Float64Array, i: number) => {
      const db = orNull(powerToDb(bands[i] * scale));
      return db !== null && db > FLOOR_DB ? rounded(db) : null;
    };
    const [bandsA, bandsB, bandsAdded] = [a, b, added].map((power) => logBands(power, this.sampleRate, AXIS));
    return {
      toneDb: thirdOctaveDifference(this.thirds(a), this.thirds(b), TONE_FLOOR_DB).map((db) =>
        db === null ? null : rounded(db),
      ),
      spectrum: Array.from({ length: AXIS.count }, (_, i) => ({
        hz: rounded(logBandCentre(AXIS, i)),
        aDb: level(bandsA, i),
        bDb: level(bandsB, i),
        addedDb: level(bandsAdded, i),
      })).filter(({ hz }) => hz < this.sampleRate / 2),
    };
  }

  private average(): void {
    const { fft, frame, spectrum, window, held } = this;
    this.frames++;
    for (let channel = 0; channel < 2; channel++) {
      for (let i = 0; i < SIZE; i++) {
        frame[2 * i] = window[i] * held[channel][i];
        frame[2 * i + 1] = window[i] * held[2 + channel][i];
      }
      fft.transform(spectrum, frame);
      const [pxx, pyy, re, im] = this.sums[channel];
      for (let k = 1; k < SIZE / 2; k++) {
        const m = 2 * (SIZE - k);
        const xr = 0.5 * (spectrum[2 * k] + spectrum[m]);
        const xi = 0.5 * (spectrum[2 * k + 1] - spectrum[m + 1]);
        const yr = 0.5 * (spectrum[2 * k + 1] + spectrum[m + 1]);
        const yi = 0.5 * (spectrum[m] - spectrum[2 * k]);
        pxx[k] += xr * xr + xi * xi;
        pyy[k] += yr * yr + yi * yi;
        re[k] += xr * yr + xi * yi;
        im[k] += xr * yi - xi * yr;
      }
    }
  }

  private thirds(power: Float64Array): Float64Array {
    const bins = SIZE / this.sampleRate;
    return Float64Array.from(THIRD_OCTAVE_CENTRES, (centre) => {
      const [low, high] = [(centre / HALF_BAND) * bins, centre * HALF_BAND * bins];
      if (high > SIZE / 2) return 0;
      let sum = 0;
      for (let k = Math.ceil(low); k < high; k++) sum += power[k];
      return sum;
    });
  }
}

/** Three decimals are finer than anything that is read off a report. */
export function rounded(value: number): number {
  return Math.round(value * 1000) / 1000;
}
