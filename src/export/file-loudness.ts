import { LoudnessMeter } from '../dsp/loudness-meter.ts';
import { TruePeakMeter } from '../dsp/true-peak.ts';
import type { BroadcastLoudness } from '../files/audio-data.ts';

/** The loudness that a file states of itself, measured of its samples as they are written. Mono counts as on both sides. */
export class FileLoudness {
  private readonly loudness: LoudnessMeter;
  private readonly peak: TruePeakMeter;

  /** @throws RangeError if the rate is below 8 kHz */
  constructor(sampleRate: number, channels: number) {
    this.loudness = new LoudnessMeter(sampleRate, channels);
    this.peak = new TruePeakMeter(sampleRate, channels);
  }

  process(planes: readonly Float32Array[]): void {
    this.loudness.process(planes);
    this.peak.process(planes);
  }

  /** Of all that came, to its end; what isn't defined isn't stated. */
  result(): BroadcastLoudness {
    this.peak.flush();
    const stated = {
      integrated: this.loudness.integrated,
      range: this.loudness.loudnessRange() ?? Number.NaN,
      truePeak: this.peak.dbtp,
      momentary: this.loudness.maxMomentary,
      shortTerm: this.loudness.maxShortTerm,
    };
    return Object.fromEntries(Object.entries(stated).filter(([, value]) => Number.isFinite(value)));
  }
}
