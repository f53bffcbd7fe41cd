/** Loudness of whole recordings, and the series that the loudness match compares. */
import { energyToLufs } from './gating.ts';
import { LoudnessMeter } from './loudness-meter.ts';
import type { Hertz, Seconds } from './units.ts';
import { orNull } from './units.ts';
import type { ChannelOptions } from './weighted-energy.ts';
import { channelWeights, WeightedEnergy } from './weighted-energy.ts';

/** Null where a figure isn't defined: silence, or shorter than its window. */
export interface Loudness {
  readonly integratedLufs: number | null;
  readonly maxMomentaryLufs: number | null;
  readonly maxShortTermLufs: number | null;
  readonly loudnessRangeLu: number | null;
  /** Seconds at which the loudest 3 s window ends, or null. */
  readonly loudestWindowEnd: Seconds | null;
}

const WINDOW_SECONDS = 3;
/** Tech 3342: a file is followed by at least 1.5 s of silence, so that its end weighs like its middle. */
const TRAILING_SECONDS = 1.5;
/**
 * A loudness range isn't meant for less (EBU R 128 advises against it): there the windows that reach into the silence
 * behind the end would weigh more than the programme (a steady sine of 4 s had 2.2 LU), so only whole ones count.
 */
export const RANGE_MEANT_SECONDS: Seconds = 60;

/**
 * Integrated loudness, maxima and loudness range of a recording.
 * @param channels one array per channel, all of one length, full scale ±1
 * @throws RangeError if the rate is below 8 kHz or weights don't fit
 */
export function measureLoudness(
  channels: readonly Float32Array[],
  sampleRate: Hertz,
  options: ChannelOptions = {},
): Loudness {
  const meter = new LoudnessMeter(sampleRate, channels.length, options);
  const length = channels[0]?.length ?? 0;
  meter.process(channels, 0, length);
  const { integrated, maxMomentary, maxShortTerm, loudestWindowEnd } = meter;
  let range: number | null = null;
  if (length >= WINDOW_SECONDS * sampleRate) {
    if (length >= RANGE_MEANT_SECONDS * sampleRate) {
      const silence = new Float32Array(Math.ceil(TRAILING_SECONDS * sampleRate));
      meter.process(
        channels.map(() => silence),
        0,
        silence.length,
      );
    }
    range = meter.loudnessRange();
  }
  return {
    integratedLufs: orNull(integrated),
    maxMomentaryLufs: orNull(maxMomentary),
    maxShortTermLufs: orNull(maxShortTerm),
    loudnessRangeLu: range,
    loudestWindowEnd: loudestWindowEnd > 0 ? loudestWindowEnd : null,
  };
}

const HOP_SECONDS = 0.1;
const BLOCK_HOPS = 4;
const WINDOW_HOPS = 30;

/** What a match compares. */
export interface LoudnessSeries {
  /** As `blockEnergies`. */
  readonly blocks: Float64Array;
  /** Short-term loudness of whole 3 s windows, LUFS; −Infinity where a window is silent. Empty below 3 s. */
  readonly shortTerm: Float64Array;
}

/**
 * K-weighted, channel-weighted mean squares of all whole 400 ms blocks with 75 % overlap (BS.1770-5, equation 3); the
 * first block starts at sample 0. Empty if the recording is shorter than one block.
 */
export function blockEnergies(
  channels: readonly Float32Array[],
  sampleRate: Hertz,
  options: ChannelOptions = {},
): Float64Array {
  return windows(hopSums(channels, sampleRate, options), BLOCK_HOPS, 1, sampleRate);
}

/**
 * Blocks, and short-term loudness every `everyHops` tenths of a second, from one pass over the recording.
 * @throws RangeError if `everyHops` isn't a whole number from 1 to 30
 */
export function loudnessSeries(
  channels: readonly Float32Array[],
  sampleRate: Hertz,
  everyHops: number,
  options: ChannelOptions = {},
): LoudnessSeries {
  if (!(Number.isInteger(everyHops) && everyHops >= 1 && everyHops <= WINDOW_HOPS)) {
    throw new RangeError(`Windows start every 1 to ${WINDOW_HOPS} tenths of a second, not every ${everyHops}.`);
  }
  const sums = hopSums(channels, sampleRate, options);
  return {
    blocks: windows(sums, BLOCK_HOPS, 1, sampleRate),
    shortTerm: windows(sums, WINDOW_HOPS, everyHops, sampleRate).map(energyToLufs),
  };
}

/** Sample at which a hop starts, for rates whose tenth isn't a whole number too. */
function boundary(hop: number, sampleRate: Hertz): number {
  return Math.round(hop * HOP_SECONDS * sampleRate);
}

/** Weighted sums of squares of all whole tenths of a second. */
function hopSums(channels: readonly Float32Array[], sampleRate: Hertz, options: ChannelOptions): Float64Array {
  const energy = new WeightedEnergy(sampleRate, channelWeights(channels.length, options));
  const length = channels[0]?.length ?? 0;
  // 1e-9 of a hop makes up for 2.4/0.1 not being a whole number in binary.
  const sums = new Float64Array(Math.floor(length / (HOP_SECONDS * sampleRate) + 1e-9));
  for (let hop = 0; hop < sums.length; hop++) {
    energy.accumulate(channels, boundary(hop, sampleRate), Math.min(length, boundary(hop + 1, sampleRate)));
    sums[hop] = energy.take();
  }
  return sums;
}

/** Mean energies of all whole windows of `hops` hops, one every `step` hops. */
function windows(sums: Float64Array, hops: number, step: number, sampleRate: Hertz): Float64Array {
  const energies = new Float64Array(Math.max(0, Math.floor((sums.length - hops) / step) + 1));
  for (let i = 0; i < energies.length; i++) {
    const first = i * step;
    let sum = 0;
    for (let hop = first; hop < first + hops; hop++) sum += sums[hop];
    energies[i] = sum / (boundary(first + hops, sampleRate) - boundary(first, sampleRate));
  }
  return energies;
}
