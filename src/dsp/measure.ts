/** All figures of one recording, the same for the screen, the worker and the command line. */
import { crestFactorDb, measureLevels, rmsDbfs, type SampleLevels } from './levels.ts';
import { type Loudness, measureLoudness } from './loudness-offline.ts';
import { truePeak } from './true-peak.ts';
import type { Decibels, Hertz, Seconds } from './units.ts';
import { gainToDb, orNull } from './units.ts';
import type { ChannelOptions } from './weighted-energy.ts';

/** What isn't defined (silence, shorter than a figure's window) is null; nothing is ever NaN or infinite. */
export interface Measurement {
  /** BS.1770-5 gated loudness; null below one 400 ms block or if no block passes −70 LUFS. */
  readonly integratedLufs: number | null;
  /** Loudest 3 s window. */
  readonly maxShortTermLufs: number | null;
  /** Loudest 400 ms window. */
  readonly maxMomentaryLufs: number | null;
  /** EBU Tech 3342; meant for a minute or more (`RANGE_MEANT_SECONDS`), null below 3 s. */
  readonly loudnessRangeLu: number | null;
  readonly truePeakDbtp: Decibels | null;
  readonly samplePeakDbfs: Decibels | null;
  /** AES17: a full-scale sine reads 0. */
  readonly rmsDbfs: Decibels | null;
  /** Sample peak over true RMS: a sine has 3.01 dB. */
  readonly crestDb: Decibels | null;
  /** True peak less integrated loudness. */
  readonly plrDb: Decibels | null;
  /** Size of the largest channel mean, 0 dBFS for a constant ±1. */
  readonly dcDbfs: Decibels | null;
  readonly sampleRate: Hertz;
  readonly channels: number;
  readonly seconds: Seconds;
  /** Present only if the input wasn't clean, in words for a reader. */
  readonly note?: string;
}

export interface DetailedMeasurement extends Measurement {
  /** Highest sample above zero. */
  readonly positivePeakDbfs: Decibels | null;
  /** Lowest sample below zero. */
  readonly negativePeakDbfs: Decibels | null;
  /** True peak within the loudest 3 s window less that window's loudness. */
  readonly psrDb: Decibels | null;
}

const WINDOW_SECONDS = 3;

/**
 * Measures a recording.
 * @param channels one array per channel, all of one length, full scale ±1; NaN and infinite samples count as 0
 * @param options channel weights and the counting of mono (default: as if on both sides of a stereo pair)
 * @throws RangeError if lengths differ, the rate is below 8 kHz or weights don't fit
 */
export function measure(
  channels: readonly Float32Array[],
  sampleRate: Hertz,
  options: ChannelOptions = {},
): Measurement {
  return summary(collect(channels, sampleRate, options));
}

/** As `measure`, with both polarities' peaks and the peak to short-term loudness ratio. */
export function measureDetailed(
  channels: readonly Float32Array[],
  sampleRate: Hertz,
  options: ChannelOptions = {},
): DetailedMeasurement {
  const figures = collect(channels, sampleRate, options);
  return {
    ...summary(figures),
    positivePeakDbfs: orNull(gainToDb(figures.levels.positivePeak)),
    negativePeakDbfs: orNull(gainToDb(figures.levels.negativePeak)),
    psrDb: peakToShortTerm(figures),
  };
}

interface Figures {
  readonly channels: readonly Float32Array[];
  readonly sampleRate: Hertz;
  readonly length: number;
  readonly levels: SampleLevels;
  readonly loudness: Loudness;
  readonly truePeakDbtp: Decibels;
}

function collect(channels: readonly Float32Array[], sampleRate: Hertz, options: ChannelOptions): Figures {
  const length = channels[0]?.length ?? 0;
  if (channels.some((data) => data.length !== length)) throw new RangeError('The channels differ in length.');
  return {
    channels,
    sampleRate,
    length,
    levels: measureLevels(channels),
    loudness: measureLoudness(channels, sampleRate, options),
    truePeakDbtp: truePeak(channels, sampleRate).dbtp,
  };
}

function summary({ channels, sampleRate, length, levels, loudness, truePeakDbtp }: Figures): Measurement {
  const { integratedLufs, maxShortTermLufs, maxMomentaryLufs, loudnessRangeLu } = loudness;
  return {
    integratedLufs,
    maxShortTermLufs,
    maxMomentaryLufs,
    loudnessRangeLu,
    truePeakDbtp: orNull(truePeakDbtp),
    samplePeakDbfs: orNull(gainToDb(levels.samplePeak)),
    rmsDbfs: orNull(rmsDbfs(levels.meanSquare)),
    crestDb: orNull(crestFactorDb(levels.samplePeak, levels.meanSquare)),
    plrDb: integratedLufs === null ? null : orNull(truePeakDbtp - integratedLufs),
    dcDbfs: orNull(gainToDb(levels.dc)),
    sampleRate,
    channels: channels.length,
    seconds: length / sampleRate,
    ...(levels.notFinite > 0 ? { note: notFiniteNote(levels.notFinite) } : {}),
  };
}

function notFiniteNote(count: number): string {
  return count === 1
    ? '1 sample was not a finite number and counts as 0.'
    : `${count} samples were not finite numbers and count as 0.`;
}

function peakToShortTerm({ channels, sampleRate, loudness }: Figures): Decibels | null {
  const { maxShortTermLufs, loudestWindowEnd } = loudness;
  if (maxShortTermLufs === null || loudestWindowEnd === null) return null;
  const end = Math.round(loudestWindowEnd * sampleRate);
  const start = Math.max(0, end - Math.round(WINDOW_SECONDS * sampleRate));
  const window = channels.map((data) => data.subarray(start, end));
  return orNull(truePeak(window, sampleRate).dbtp - maxShortTermLufs);
}
