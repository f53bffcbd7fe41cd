/**
 * How hard a stage's curve is driven, which decides how it is shaped: sampled plainly at the rack's usual rate, or at the
 * firm racks' rate and integrated over time wherever it bends too fast (worklets/kernels/corners.ts). It follows from the
 * configuration alone, for sound up to 0 dBFS, so that the same settings sound the same whatever was set before.
 */
import { dbToGain } from '../dsp/units.ts';
import type { StageConfig } from './config.ts';
import type { Circuit, StageKind } from './stages/stage-kind.ts';

/** From here on a higher rate doesn't count: a curve may have a corner just beyond its gentle part. */
const MOST_RATE = 48_000;

/** Working point of every curve at 100 % bias, in knee units. */
const FULL_BIAS = 0.9;

/**
 * Most that full scale makes at the curve, in its own units.
 * @param level what full scale has become on the way through the stages before, amplitude ratio
 * @param alignment amplitude of the alignment level
 */
export function peakAtCurve({ at }: StageKind, config: StageConfig, level: number, alignment: number): number {
  const { values, amplitude } = config;
  // Emphasis raises one end by half its tilt.
  const db = values[at.trimIn] + values[at.drive] + Math.abs(values[at.tilt]) / 2;
  return (level * dbToGain(db) * amplitude) / alignment;
}

/**
 * True where plain samples at the usual rate wouldn't follow the curve; only a curve that tells its knots is ever that.
 * @param sampleRate the base rate, Hz
 */
export function isDrivenHard(circuit: Circuit, values: ArrayLike<number>, peak: number, sampleRate: number): boolean {
  const bias = circuit.biasInput < 0 ? 0 : Math.abs(values[circuit.inputs[circuit.biasInput]]) / 100;
  return circuit.hasKnots && peak + FULL_BIAS * bias > circuit.gentlePeak * (Math.min(sampleRate, MOST_RATE) / 44_100);
}

/** What full scale becomes by a stage's trims; its curve only makes less of it. */
export function levelBehind({ at }: StageKind, { values }: StageConfig, level: number): number {
  return level * dbToGain(values[at.trimIn] + values[at.trimOut]);
}
