/** Loudness while it plays: momentary, short-term and integrated loudness, and the loudness range. */
import { LoudnessWindows, tickBoundary } from './loudness-windows.ts';
import type { Hertz } from './units.ts';
import type { ChannelOptions } from './weighted-energy.ts';
import { channelWeights, WeightedEnergy } from './weighted-energy.ts';

/** `LoudnessWindows` fed with samples; an incomplete last tick or block is left out. */
export class LoudnessMeter extends LoudnessWindows {
  private readonly energy: WeightedEnergy;
  private samples = 0;
  private tickEnd: number;

  /** @throws RangeError if the rate is below 8 kHz or the weights don't fit */
  constructor(sampleRate: Hertz, channelCount: number, options: ChannelOptions = {}) {
    super(sampleRate);
    this.energy = new WeightedEnergy(sampleRate, channelWeights(channelCount, options));
    this.tickEnd = tickBoundary(1, sampleRate);
  }

  /** Forgets everything heard so far. */
  override reset(): void {
    super.reset();
    this.energy.reset();
    this.samples = 0;
    this.tickEnd = tickBoundary(1, this.sampleRate);
  }

  /** Takes in samples `start` to `end` (exclusive) of each channel. */
  process(channels: readonly Float32Array[], start = 0, end = channels[0]?.length ?? 0): void {
    let position = start;
    while (position < end) {
      const count = Math.min(end - position, this.tickEnd - this.samples);
      this.energy.accumulate(channels, position, position + count);
      position += count;
      this.samples += count;
      if (this.samples === this.tickEnd) {
        this.tick(this.energy.take());
        this.tickEnd = tickBoundary(this.ticks + 1, this.sampleRate);
      }
    }
  }
}
