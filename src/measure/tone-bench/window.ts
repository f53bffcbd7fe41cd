import { sine, snapFrequency } from '../../dsp/tones.ts';
import type { Decibels, Hertz, Seconds } from '../../dsp/units.ts';
import { dbToGain } from '../../dsp/units.ts';
import type { PairBins } from './snap-pair.ts';
import { snapPair } from './snap-pair.ts';

/** The shortest power of two of samples that lasts at least so long. */
export function windowFor(seconds: Seconds, sampleRate: Hertz): number {
  return 2 ** Math.ceil(Math.log2(seconds * sampleRate));
}

/** One period block of a coherent sine. */
export interface CoherentTone {
  /** Snapped to an odd number of periods in the window. */
  readonly hz: Hertz;
  readonly dbfs: Decibels;
  readonly samples: Float64Array;
}

export function coherentTone(hz: Hertz, dbfs: Decibels, sampleRate: Hertz, size: number): CoherentTone {
  const snapped = snapFrequency(hz, sampleRate, size);
  return { hz: snapped, dbfs, samples: sine(size, sampleRate, snapped, dbToGain(dbfs)) };
}

/** One period block of two coherent cosines, which start at their crests so that the peak of the sum is reached. */
export interface CoherentPair {
  readonly bins: PairBins;
  readonly first: CoherentTone;
  readonly second: CoherentTone;
  readonly sum: Float64Array;
}

/**
 * @param ratio amplitude of the lower tone over that of the upper one
 * @param dbfs peak of the sum
 */
export function coherentPair(
  f1: Hertz,
  f2: Hertz,
  ratio: number,
  dbfs: Decibels,
  sampleRate: Hertz,
  size: number,
): CoherentPair {
  const bins = snapPair(f1, f2, sampleRate, size);
  const peak = dbToGain(dbfs);
  const part = (bin: number, share: number): CoherentTone => {
    const hz = (bin * sampleRate) / size;
    const amplitude = share * peak;
    return {
      hz,
      dbfs: 20 * Math.log10(amplitude),
      samples: sine(size, sampleRate, hz, amplitude, Math.PI / 2),
    };
  };
  const first = part(bins.k1, ratio / (1 + ratio));
  const second = part(bins.k2, 1 / (1 + ratio));
  return { bins, first, second, sum: first.samples.map((x, i) => x + second.samples[i]) };
}
