/** How much a stage adds to a programme, and the drive at which it adds a given share. */
import type { Decibels } from '../dsp/units.ts';
import { dbToGain } from '../dsp/units.ts';
import type { Stage } from '../session/document.ts';
import { DRIVE, driveOf } from '../session/document.ts';
import type { Amplitudes } from './amplitudes.ts';
import { AMPLITUDE_BINS } from './amplitudes.ts';
import { staticCurve } from './stage-face.ts';

/** What a stage adds where it is put in, or brought to the alignment level: −40 dB, heard as hardly more than nothing. */
export const GENTLE_SHARE = 0.01;
/** Drives are chosen on the steps of its control. */
const STEP_DB: Decibels = 0.5;

export interface StageAmount {
  readonly driveDb: Decibels;
  /** Share of its output's amplitude that the stage then adds, 0 to 1. */
  readonly share: number;
}

/**
 * Share of the stage's output, by amplitude, that no gain of its input explains: √(1 − ρ²), with ρ the correlation of
 * the curve's input and output under the programme's distribution of amplitudes. (What a memoryless curve makes of a
 * Gaussian signal is explained by one gain and no other linear filter: Bussgang, 1952, from memory. Programmes come
 * near enough: the tests compare with what is measured.) Emphasis is left out of account.
 * @param programme amplitudes at the stage's input, before its trim
 * @returns null for an unknown kind and for silence
 */
export function addedShare(stage: Stage, programme: Amplitudes, alignmentDbfs: Decibels): number | null {
  const curve = staticCurve(stage, alignmentDbfs);
  if (!curve) return null;
  const trim = typeof stage.params.trimIn === 'number' ? dbToGain(stage.params.trimIn) : 1;
  // Only as far as the programme goes: a circuit with memory is another one under a sine that it never gets.
  const sizes = AMPLITUDE_BINS.filter((_, i) => programme[i] > 0);
  const weights = programme.filter((weight) => weight > 0);
  const ins = sizes.map((size) => trim * size);
  const outs = curve(ins);
  let count = 0;
  let [x1, y1, xx, yy, xy] = [0, 0, 0, 0, 0];
  for (let i = 0; i < weights.length; i++) {
    const weight = weights[i];
    const x = ins[i];
    const y = outs[i];
    count += weight;
    x1 += weight * x;
    y1 += weight * y;
    xx += weight * x * x;
    yy += weight * y * y;
    xy += weight * x * y;
  }
  // Without the means: DC is no colour, and coupling takes it out.
  const vx = xx * count - x1 * x1;
  const vy = yy * count - y1 * y1;
  if (!(vx > 0 && vy > 0)) return null;
  return Math.sqrt(Math.max(0, 1 - (xy * count - x1 * y1) ** 2 / (vx * vy)));
}

/**
 * The drive at which a stage adds `share` to this programme: the lowest that does, on the steps of the control. Where
 * the range doesn't reach that far its upper end, with the share that is added there.
 * @returns null for silence and for kinds without a drive
 */
export function driveFor(
  stage: Stage,
  programme: Amplitudes,
  alignmentDbfs: Decibels,
  share: number = GENTLE_SHARE,
): StageAmount | null {
  if (driveOf(stage) === null) return null;
  const at = (driveDb: Decibels) =>
    addedShare({ ...stage, params: { ...stage.params, [DRIVE.id]: driveDb } }, programme, alignmentDbfs);
  let driveDb: Decibels = DRIVE.min;
  let found = at(driveDb);
  while (found !== null && found < share && driveDb < DRIVE.max) {
    const next = at(driveDb + STEP_DB);
    if (next === null) return null;
    // Of the two steps beside the share the nearer one, by ratio.
    if (next > share && found > 0 && share / found < next / share) break;
    driveDb += STEP_DB;
    found = next;
  }
  return found === null ? null : { driveDb, share: found };
}
