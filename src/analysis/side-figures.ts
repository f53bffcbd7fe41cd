import { measureDetailed } from '../dsp/measure.ts';
import type { SideFigures } from './figures.ts';
import type { Planes } from './rack-renderer.ts';

/** Where the limiting figure looks: a common delivery level and ceiling (AES TD1008: −14 LUFS, −1 dBTP). */
export const DELIVERY_LUFS = -14;
export const DELIVERY_DBTP = -1;

/** Levels of one signal, optionally after a gain in dB, which is applied to the figures instead of the samples. */
export function sideFigures(planes: Planes, sampleRate: number, gainDb = 0): SideFigures {
  const measured = measureDetailed(planes, sampleRate);
  const moved = (value: number | null) => (value === null ? null : value + gainDb);
  const { plrDb } = measured;
  return {
    integratedLufs: moved(measured.integratedLufs),
    truePeakDbtp: moved(measured.truePeakDbtp),
    positivePeakDbfs: moved(measured.positivePeakDbfs),
    negativePeakDbfs: moved(measured.negativePeakDbfs),
    plrDb,
    dcDbfs: moved(measured.dcDbfs),
    // Turned up (or down) to the delivery level, the true peak would stand at −14 + PLR.
    limitingDb: plrDb === null ? null : Math.max(0, DELIVERY_LUFS + plrDb - DELIVERY_DBTP),
  };
}
