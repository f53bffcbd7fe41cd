import { analyseHarmonics } from '../../dsp/harmonics.ts';
import type { Decibels, Hertz } from '../../dsp/units.ts';
import type { RackConfig, StageConfig } from '../../engine/config.ts';
import { findStageKind } from '../../engine/stages/catalogue.ts';
import type { SteadyState } from './steady-state.ts';
import { coherentTone } from './window.ts';

/** Window of one trial, in samples. THD of one sine needs no more. */
const TRIAL_SIZE = 8192;
/** Halvings of the drive's range; 48 dB / 2^18 is below 0.0002 dB. */
const HALVINGS = 18;

export type OneStage =
  | { readonly rack: RackConfig; readonly driveDb: Decibels }
  /** Why there is none, as a sentence. */
  | { readonly reason: string };

/**
 * The same total drive in one stage: a copy of the rack's first stage, alone, with its drive moved until it makes as
 * much THD_F of the tone as the whole rack. By bisection, DC coupled, which THD doesn't hear.
 * @param thdF of the whole rack, as a ratio
 */
export function* oneStageOf(
  first: StageConfig,
  thdF: number | null,
  hz: Hertz,
  dbfs: Decibels,
  steady: SteadyState,
): Generator<void, OneStage> {
  const kind = findStageKind(first.kind);
  const at = kind?.parameters.findIndex(({ id }) => id === 'drive') ?? -1;
  const drive = kind?.parameters[at];
  if (!kind || drive?.type !== 'continuous') return { reason: 'The first stage has no drive to compare with.' };
  // Rounding alone makes about 1e-7.
  if (thdF === null || thdF < 1e-6)
    return { reason: 'The rack adds nothing to the tone, so one stage needs no drive.' };
  const tone = coherentTone(hz, dbfs, steady.sampleRate, TRIAL_SIZE);
  const thdAt = function* (db: Decibels): Generator<void, number> {
    const values = first.values.slice();
    values[at] = db;
    const coupling = kind.parameters.findIndex(({ id }) => id === 'coupling');
    const choice = kind.parameters[coupling];
    if (choice?.type === 'choice') values[coupling] = choice.choices.findIndex(({ id }) => id === 'dc');
    const { planes } = yield* steady.measure({ on: true, match: 1, stages: [{ ...first, values }] }, [tone.samples]);
    const orders = Math.ceil(TRIAL_SIZE / 2 / Math.round((tone.hz * TRIAL_SIZE) / steady.sampleRate));
    return analyseHarmonics(planes[0], steady.sampleRate, tone.hz, Math.max(2, orders)).thdF ?? 0;
  };
  let low = drive.min;
  let high = drive.max;
  const name = kind.label.toLowerCase();
  if ((yield* thdAt(high)) < thdF) {
    return { reason: `One ${name} stage can't make as much: at its highest drive its THD is still lower.` };
  }
  if ((yield* thdAt(low)) > thdF) {
    return { reason: `One ${name} stage can't make as little: at its lowest drive its THD is still higher.` };
  }
  for (let i = 0; i < HALVINGS; i++) {
    const middle = (low + high) / 2;
    if ((yield* thdAt(middle)) < thdF) low = middle;
    else high = middle;
  }
  const values = first.values.slice();
  values[at] = (low + high) / 2;
  return { rack: { on: true, match: 1, stages: [{ ...first, values }] }, driveDb: values[at] };
}
