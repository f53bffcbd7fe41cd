import { clamp, dbToGain } from '../dsp/units.ts';
import { rackConfig } from '../render/engine-config.ts';
import type { Planes, RackRenderer } from '../render/rack-renderer.ts';
import type { Rack, Stage } from '../session/document.ts';
import { DRIVE, driveOf } from '../session/document.ts';
import type { Amplitudes } from './amplitudes.ts';
import { amplitudes } from './amplitudes.ts';
import { matchReference } from './match.ts';
import { addedShare, driveFor, GENTLE_SHARE } from './stage-amount.ts';

/** New trims of one stage, dB. */
export interface StageTrims {
  readonly stageId: string;
  readonly trimIn: number;
  readonly trimOut: number;
  /** Its drive where that had to come down, dB; null where it stays. */
  readonly driveDb: number | null;
}

const LARGEST_TRIM_DB = 24;
/** Trims are set as finely as the screen shows them. */
const STEP_DB = 0.1;

/**
 * Trims that put every stage's input at the alignment level and give its output back at the loudness that came in, so
 * that the next stage isn't moved. A sine at the alignment level on both sides reads that many LUFS (BS.1770-5: 997 Hz
 * at 0 dBFS on both sides is 0 LUFS), so a programme is brought to the same number of LUFS.
 *
 * At the alignment level a drive means the same everywhere, but a programme peaks far above its loudness: a stage that
 * was hardly worked may then take many decibels off the peaks. So no stage adds more afterwards than it did before, or
 * GENTLE_SHARE where that is more: its drive comes down as far as that takes.
 *
 * Stages that are off keep their trims. Null where the input is silent. Yields now and then.
 * @param input what the rack gets over the match region
 */
export function* alignmentTrims(
  renderer: RackRenderer,
  rack: Rack,
  input: Planes,
  sampleRate: number,
  alignmentDbfs: number,
): Generator<void, StageTrims[] | null> {
  const trims: StageTrims[] = [];
  let signal = input;
  /** What each stage gets as the rack is now. */
  let untrimmed = input;
  const incoming = matchReference(input, sampleRate).loudness;
  if (!Number.isFinite(incoming)) return null;
  let loudness = incoming;
  for (const stage of rack.stages) {
    yield;
    if (!stage.on) {
      const kept = rackConfig({ ...rack, on: true, stages: [stage] }, false);
      signal = yield* renderer.render(kept, signal);
      untrimmed = yield* renderer.render(kept, untrimmed);
      continue;
    }
    const trimIn = toStep(alignmentDbfs - loudness);
    const before = addedShare(stage, amplitudes(untrimmed), alignmentDbfs) ?? 0;
    const moved = { ...stage, params: { ...stage.params, trimIn, trimOut: 0 } };
    const driveDb = lowerDrive(moved, amplitudes(signal), alignmentDbfs, Math.max(before, GENTLE_SHARE));
    const aligned = driveDb === null ? moved : { ...moved, params: { ...moved.params, [DRIVE.id]: driveDb } };
    const output = yield* renderer.render(rackConfig({ ...rack, on: true, stages: [aligned] }, false), signal);
    yield;
    const outgoing = matchReference(output, sampleRate).loudness;
    const trimOut = Number.isFinite(outgoing) ? toStep(loudness - outgoing) : toStep(-trimIn);
    trims.push({ stageId: stage.id, trimIn, trimOut, driveDb });
    signal = output.map((plane) => plane.map((x) => x * dbToGain(trimOut)));
    loudness = Number.isFinite(outgoing) ? outgoing + trimOut : loudness;
    if (stage !== rack.stages.at(-1)) {
      untrimmed = yield* renderer.render(rackConfig({ ...rack, on: true, stages: [stage] }, false), untrimmed);
    }
  }
  return trims;
}

/** Steps of a drive are coarser than shares are told apart. */
const TOLERANCE = 1.1;

/** The drive at which a stage adds no more than `most`; null where it doesn't as it is. */
function lowerDrive(stage: Stage, programme: Amplitudes, alignmentDbfs: number, most: number): number | null {
  const share = addedShare(stage, programme, alignmentDbfs);
  const drive = driveOf(stage);
  if (share === null || drive === null || share <= most * TOLERANCE) return null;
  const found = driveFor(stage, programme, alignmentDbfs, most);
  return found && found.driveDb < drive ? found.driveDb : null;
}

function toStep(db: number): number {
  return clamp(Math.round(db / STEP_DB) * STEP_DB, -LARGEST_TRIM_DB, LARGEST_TRIM_DB);
}
