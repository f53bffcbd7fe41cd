/** How far both sides of the switch are lowered together, so that neither has to be limited alone. */
import type { Decibels } from '../dsp/units.ts';
import { GUARD_CEILING_DBTP } from '../engine/output-guard.ts';

/** The meter looks at fewer points than the guard from 96 kHz on, and a loop has a seam. */
const MARGIN_DB = 0.05;
/** As finely as it is shown, so that what is shown is what is done, and small moves of a setting don't move it. */
const STEP_DB = 0.1;

/**
 * Gain in dB, at most 0, for everything alike: with it the loudest of these peaks stays under the output guard's
 * ceiling. 0 where none is needed.
 * @param peaksDbtp true peaks of what is compared; null and −Infinity for silence
 */
export function commonHeadroomDb(peaksDbtp: readonly (Decibels | null)[]): Decibels {
  const loudest = Math.max(...peaksDbtp.map((peak) => peak ?? Number.NEGATIVE_INFINITY));
  const needed = loudest - GUARD_CEILING_DBTP + MARGIN_DB;
  return needed > 0 ? -Math.ceil(needed / STEP_DB - 1e-6) * STEP_DB : 0;
}
