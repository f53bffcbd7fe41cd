import { measureLevels } from '../dsp/levels.ts';
import { type Lufs, measureLoudness } from '../dsp/loudness.ts';
import { truePeak } from '../dsp/true-peak.ts';
import { type Decibels, gainToDb, orNull } from '../dsp/units.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { SideFigures } from './figures.ts';

/** Where the limiting figure looks: a common delivery level and ceiling (AES TD1008: −14 LUFS, −1 dBTP). */
export const DELIVERY_LUFS = -14;
export const DELIVERY_DBTP = -1;

/**
 * Levels of one signal, optionally after a gain in dB, which is applied to the figures instead of the samples.
 * @param loudness its integrated loudness where that is known already; −Infinity where it isn't defined
 * @param peakDbtp its true peak where that is known already; −Infinity for silence
 */
export function sideFigures(
  planes: Planes,
  sampleRate: number,
  gainDb = 0,
  loudness?: Lufs,
  peakDbtp?: Decibels,
): SideFigures {
  const { positivePeak, negativePeak, dc } = measureLevels(planes);
  const truePeakDbtp = peakDbtp ?? truePeak(planes, sampleRate).dbtp;
  const integrated = loudness ?? measureLoudness(planes, sampleRate).integratedLufs ?? Number.NEGATIVE_INFINITY;
  const plrDb = orNull(truePeakDbtp - integrated);
  const moved = (value: number) => orNull(value + gainDb);
  return {
    integratedLufs: moved(integrated),
    truePeakDbtp: moved(truePeakDbtp),
    positivePeakDbfs: moved(gainToDb(positivePeak)),
    negativePeakDbfs: moved(gainToDb(negativePeak)),
    plrDb,
    dcDbfs: moved(gainToDb(dc)),
    // Turned up (or down) to the delivery level, the true peak would stand at −14 + PLR.
    limitingDb: plrDb === null ? null : Math.max(0, DELIVERY_LUFS + plrDb - DELIVERY_DBTP),
  };
}
