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
    const silence = new Float32Array(Math.ceil(TRAILING_SECONDS * sampleRate));
    meter.process(
      channels.map(() => silence),
      0,
      silence.length,
    );
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

/**
 * K-weighted, channel-weighted mean squares of all whole 400 ms blocks with 75 % overlap (BS.1770-5, equation 3); the
 * first block starts at sample 0. Empty if the recording is shorter than one block.
 */
export function blockEnergies(
  channels: readonly Float32Array[],
  sampleRate: Hertz,
  options: ChannelOptions = {},
): Float64Array {
  return windowEnergies(channels, sampleRate, 0.1, 4, options);
}

/**
 * Short-term loudness of all whole 3 s windows, one for each `hopSeconds` (rounded to whole samples; windows are a
 * whole number of hops, so the hop should divide 3 s). LUFS; −Infinity where a window is silent.
 * @throws RangeError if the hop isn't above 0 and at most 3 s
 */
export function shortTermSeries(
  channels: readonly Float32Array[],
  sampleRate: Hertz,
  hopSeconds: Seconds,
  options: ChannelOptions = {},
): Float64Array {
  if (!(hopSeconds > 0 && hopSeconds <= WINDOW_SECONDS)) {
    throw new RangeError(`The hop must lie above 0 and at most at ${WINDOW_SECONDS} s, not at ${hopSeconds}.`);
  }
  const hopsPerWindow = Math.round(WINDOW_SECONDS / hopSeconds);
  return windowEnergies(channels, sampleRate, hopSeconds, hopsPerWindow, options).map(energyToLufs);
}

/** Mean energies of all whole windows of `hopsPerWindow` hops, moving one hop at a time. */
function windowEnergies(
  channels: readonly Float32Array[],
  sampleRate: Hertz,
  hopSeconds: Seconds,
  hopsPerWindow: number,
  options: ChannelOptions,
): Float64Array {
  const energy = new WeightedEnergy(sampleRate, channelWeights(channels.length, options));
  const boundary = (hop: number): number => Math.round(hop * hopSeconds * sampleRate);
  const length = channels[0]?.length ?? 0;
  // 1e-9 of a hop makes up for 2.4/0.1 not being a whole number in binary.
  const hopCount = Math.floor(length / (hopSeconds * sampleRate) + 1e-9);
  const sums = new Float64Array(hopCount);
  for (let hop = 0; hop < hopCount; hop++) {
    energy.accumulate(channels, boundary(hop), Math.min(length, boundary(hop + 1)));
    sums[hop] = energy.take();
  }
  const energies = new Float64Array(Math.max(0, hopCount - hopsPerWindow + 1));
  for (let i = 0; i < energies.length; i++) {
    let sum = 0;
    for (let hop = i; hop < i + hopsPerWindow; hop++) sum += sums[hop];
    energies[i] = sum / (boundary(i + hopsPerWindow) - boundary(i));
  }
  return energies;
}
