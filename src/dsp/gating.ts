/** Gated loudness from block energies: ITU-R BS.1770-5, Annex 1, equations 2 to 7. */

/** Loudness in LUFS (equal to LKFS). */
export type Lufs = number;

/** Offset that makes 997 Hz at full scale on one channel read −3.01 (equation 2). */
const OFFSET = -0.691;
const ABSOLUTE_GATE: Lufs = -70;
/** Relative gate: 10 LU under the absolutely gated mean, as an energy ratio. */
const RELATIVE_GATE = 0.1;

/** K-weighted, channel-weighted mean square to LUFS; 0 gives −Infinity. */
export function energyToLufs(energy: number): Lufs {
  return OFFSET + 10 * Math.log10(energy);
}

/** LUFS to the K-weighted, channel-weighted mean square. */
export function lufsToEnergy(lufs: Lufs): number {
  return 10 ** ((lufs - OFFSET) / 10);
}

/** The energy of −70 LUFS. */
export const ABSOLUTE_GATE_ENERGY = lufsToEnergy(ABSOLUTE_GATE);

/**
 * Energy that a block must exceed to count: the larger of the absolute gate and a tenth of the mean of all blocks
 * above the absolute gate. Both comparisons are strict (`>`).
 */
export function gateThreshold(absoluteSum: number, absoluteCount: number): number {
  if (absoluteCount === 0) return ABSOLUTE_GATE_ENERGY;
  return Math.max(ABSOLUTE_GATE_ENERGY, (RELATIVE_GATE * absoluteSum) / absoluteCount);
}

/** 1 for each block that passes both gates, else 0. */
export function gateMask(energies: ArrayLike<number>): Uint8Array {
  let sum = 0;
  let count = 0;
  for (let i = 0; i < energies.length; i++) {
    if (energies[i] > ABSOLUTE_GATE_ENERGY) {
      sum += energies[i];
      count++;
    }
  }
  const threshold = gateThreshold(sum, count);
  const mask = new Uint8Array(energies.length);
  for (let i = 0; i < mask.length; i++) mask[i] = energies[i] > threshold ? 1 : 0;
  return mask;
}

/**
 * Loudness of the mean energy of all blocks whose mask is set; without a mask both gates are computed from the blocks
 * themselves. With another signal's mask the two signals are compared over the same moments.
 * @returns LUFS; −Infinity if no block counts or all counted blocks are silent
 * @throws RangeError if the mask's length differs
 */
export function gatedLoudness(energies: ArrayLike<number>, mask: ArrayLike<number> = gateMask(energies)): Lufs {
  if (mask.length !== energies.length) {
    throw new RangeError(`A mask of ${mask.length} blocks doesn't fit ${energies.length} blocks.`);
  }
  let sum = 0;
  let count = 0;
  for (let i = 0; i < energies.length; i++) {
    if (mask[i]) {
      sum += energies[i];
      count++;
    }
  }
  return count === 0 ? -Infinity : energyToLufs(sum / count);
}
