import { clamp, dbToGain } from '../dsp/units.ts';
import type { Rack } from '../session/document.ts';
import { rackConfig } from './engine-config.ts';
import { matchReference } from './match.ts';
import type { Planes, RackRenderer } from './rack-renderer.ts';

/** New trims of one stage, dB. */
export interface StageTrims {
  readonly stageId: string;
  readonly trimIn: number;
  readonly trimOut: number;
}

const LARGEST_TRIM_DB = 24;
/** Trims are set as finely as the screen shows them. */
const STEP_DB = 0.1;

/**
 * Trims that put every stage's input at the alignment level and give its output back at the loudness that came in, so
 * that the next stage isn't moved. A sine at the alignment level on both sides reads that many LUFS (BS.1770-5: 997 Hz
 * at 0 dBFS on both sides is 0 LUFS), so a programme is brought to the same number of LUFS.
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
  const incoming = matchReference(input, sampleRate).loudness;
  if (!Number.isFinite(incoming)) return null;
  let loudness = incoming;
  for (const stage of rack.stages) {
    yield;
    if (!stage.on) {
      const kept = rackConfig({ ...rack, on: true, stages: [stage] }, false);
      signal = yield* renderer.render(kept, signal);
      continue;
    }
    const trimIn = toStep(alignmentDbfs - loudness);
    const aligned = { ...stage, params: { ...stage.params, trimIn, trimOut: 0 } };
    const output = yield* renderer.render(rackConfig({ ...rack, on: true, stages: [aligned] }, false), signal);
    yield;
    const outgoing = matchReference(output, sampleRate).loudness;
    const trimOut = Number.isFinite(outgoing) ? toStep(loudness - outgoing) : toStep(-trimIn);
    trims.push({ stageId: stage.id, trimIn, trimOut });
    signal = output.map((plane) => plane.map((x) => x * dbToGain(trimOut)));
    loudness = Number.isFinite(outgoing) ? outgoing + trimOut : loudness;
  }
  return trims;
}

function toStep(db: number): number {
  return clamp(Math.round(db / STEP_DB) * STEP_DB, -LARGEST_TRIM_DB, LARGEST_TRIM_DB);
}
