/** Loudness range: EBU Tech 3342 (2023). */
import { ABSOLUTE_GATE_ENERGY, energyToLufs } from './gating.ts';

/** Relative gate: 20 LU under the mean of the absolutely gated windows, as an energy ratio. */
const RELATIVE_GATE = 0.01;
const LOW_PERCENTILE = 10;
const HIGH_PERCENTILE = 95;

/**
 * Distance between the 95th and the 10th percentile of the short-term loudness that passes both gates (here ≥, unlike
 * the gates of integrated loudness).
 * @param energies K-weighted mean squares of 3 s windows, at least ten a second
 * @returns LU, or null if no window passes
 */
export function loudnessRange(energies: ArrayLike<number>): number | null {
  const above = Float64Array.from(energies).filter((energy) => energy >= ABSOLUTE_GATE_ENERGY);
  if (above.length === 0) return null;
  const threshold = (RELATIVE_GATE * above.reduce((sum, energy) => sum + energy, 0)) / above.length;
  // A typed array sorts by number. The mean itself lies above the threshold, so something is always left.
  const sorted = above.filter((energy) => energy >= threshold).sort();
  return energyToLufs(percentile(sorted, HIGH_PERCENTILE)) - energyToLufs(percentile(sorted, LOW_PERCENTILE));
}

/** Tech 3342's nearest-rank rule: element round((n − 1)·p/100 + 1), counted from 1. */
function percentile(sorted: Float64Array, percent: number): number {
  return sorted[Math.round(((sorted.length - 1) * percent) / 100)];
}
