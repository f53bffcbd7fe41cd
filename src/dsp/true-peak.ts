/** True peak: ITU-R BS.1770-5, Annex 2. */
import { HALF, QUARTER_EVEN, QUARTER_ODD, REACH_2X, REACH_4X, TRUE_PEAK_TAPS } from './true-peak-filter.ts';
import type { Decibels, Hertz } from './units.ts';
import { gainToDb } from './units.ts';

export interface TruePeak {
  /** Largest absolute value of the oversampled signal over all channels; full scale is 1. */
  readonly linear: number;
  /** The same in dBTP; −Infinity for silence. */
  readonly dbtp: Decibels;
  /** Linear, one for each channel. */
  readonly perChannel: Float64Array;
}

const HISTORY = TRUE_PEAK_TAPS - 1;
const PAIRS = TRUE_PEAK_TAPS / 2;
/** Samples that are looked at together: either none of their neighbours can hold a new peak, or all are computed. */
const CHUNK = 32;

/**
 * Streaming true-peak meter. Oversamples four times below 96 kHz, twice from 96 kHz and not at all from 192 kHz
 * (Annex 2 asks for 192 kHz or more). The samples themselves always count, so it never reads below the sample peak.
 * Between the points of the 4× grid a tone at f can peak higher by up to −20·log10 cos(πf/4fs): 0.17 dB at fs/4.
 * The last 12 samples are interpolated only when more follow: call `flush` at the end. Never allocates in `process`;
 * not finite samples count as 0. The result doesn't depend on how the stream is cut into blocks.
 */
export class TruePeakMeter {
  /** Linear peaks since the last reset, one for each channel. */
  readonly perChannel: Float64Array;
  private readonly factor: number;
  private readonly reach: number;
  private readonly work = new Float64Array(HISTORY + CHUNK);
  /** The last samples of each channel. */
  private readonly history: Float32Array[];
  /** For each channel an upper bound of the samples in its history. */
  private readonly historyBound: Float64Array;

  constructor(sampleRate: Hertz, channelCount: number) {
    this.factor = sampleRate >= 192_000 ? 1 : sampleRate >= 96_000 ? 2 : 4;
    this.perChannel = new Float64Array(channelCount);
    this.historyBound = new Float64Array(channelCount);
    this.reach = this.factor === 4 ? REACH_4X : REACH_2X;
    this.history = Array.from({ length: channelCount }, () => new Float32Array(HISTORY));
  }

  /** Largest linear value of all channels since the last reset. */
  get peak(): number {
    let peak = 0;
    for (let c = 0; c < this.perChannel.length; c++) peak = Math.max(peak, this.perChannel[c]);
    return peak;
  }

  /** The same in dBTP; −Infinity for silence. */
  get dbtp(): Decibels {
    return gainToDb(this.peak);
  }

  reset(): void {
    this.clearPeaks();
    this.historyBound.fill(0);
    for (const history of this.history) history.fill(0);
  }

  /** Starts the maximum anew but keeps the signal's past, for a meter that is read again and again. */
  clearPeaks(): void {
    this.perChannel.fill(0);
  }

  /** Takes in samples `start` to `end` (exclusive) of each channel; a missing channel is skipped. */
  process(channels: readonly Float32Array[], start = 0, end = channels[0]?.length ?? 0): void {
    for (let c = 0; c < this.history.length; c++) {
      const data = channels[c];
      if (data !== undefined) this.processChannel(c, data, start, end);
    }
  }

  /** Lets twelve zeros follow, so that the last samples' neighbourhood is looked at. */
  flush(): void {
    for (let c = 0; c < this.history.length; c++) this.processChannel(c, TRAILING, 0, TRAILING.length);
  }

  private processChannel(c: number, data: Float32Array, start: number, end: number): void {
    let peak = this.perChannel[c];
    const history = this.history[c];
    const { reach, work } = this;
    // Of the samples before the chunk at hand an upper bound.
    let before = this.historyBound[c];
    // The sample peak first: it is a lower bound of the result, and most neighbourhoods can't reach it.
    peak = Math.max(peak, this.largestOf(data, start, end));
    for (let position = start; this.factor > 1 && position < end; position += CHUNK) {
      const stop = Math.min(end, position + CHUNK);
      const largest = this.largestOf(data, position, stop);
      if (Math.max(largest, before) * reach > peak) {
        for (let i = position - HISTORY; i < stop; i++) {
          const x = i < start ? history[HISTORY + i - start] : data[i];
          work[i - position + HISTORY] = Math.abs(x) < Infinity ? x : 0;
        }
        peak = Math.max(peak, interpolatedPeak(work, stop - position, this.factor === 4));
      }
      before = stop - position >= HISTORY ? largest : Math.max(largest, before);
    }
    this.historyBound[c] = before;
    const kept = Math.max(0, HISTORY - (end - start));
    history.copyWithin(0, HISTORY - kept);
    for (let i = kept; i < HISTORY; i++) history[i] = data[end - HISTORY + i];
    this.perChannel[c] = peak;
  }

  /** Largest absolute value that is finite. */
  private largestOf(data: Float32Array, start: number, end: number): number {
    let largest = 0;
    for (let i = start; i < end; i++) {
      const size = Math.abs(data[i]);
      if (size > largest && size < Infinity) largest = size;
    }
    return largest;
  }
}

const TRAILING = new Float32Array(PAIRS);

/** Largest absolute value between the middle samples of the first `count` windows of `work`. */
function interpolatedPeak(work: Float64Array, count: number, quarters: boolean): number {
  let peak = 0;
  for (let i = 0; i < count; i++) {
    let half = 0;
    let even = 0;
    let odd = 0;
    if (quarters) {
      for (let k = 0; k < PAIRS; k++) {
        const early = work[i + k];
        const late = work[i + HISTORY - k];
        const sum = early + late;
        half += HALF[k] * sum;
        even += QUARTER_EVEN[k] * sum;
        odd += QUARTER_ODD[k] * (early - late);
      }
      // |even ± odd| at its larger sign.
      peak = Math.max(peak, Math.abs(even) + Math.abs(odd));
    } else {
      for (let k = 0; k < PAIRS; k++) half += HALF[k] * (work[i + k] + work[i + HISTORY - k]);
    }
    peak = Math.max(peak, Math.abs(half));
  }
  return peak;
}

/**
 * True peak of a whole recording, as if silence stood before and after it.
 * @param sampleRate sets the oversampling factor; left out, 4× is used, which is right at any rate
 */
export function truePeak(channels: readonly Float32Array[], sampleRate: Hertz = 48_000): TruePeak {
  const meter = new TruePeakMeter(sampleRate, channels.length);
  meter.process(channels);
  meter.flush();
  return { linear: meter.peak, dbtp: meter.dbtp, perChannel: meter.perChannel };
}
