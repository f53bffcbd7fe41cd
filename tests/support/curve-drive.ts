/** Drives a stage's curve with a sine of a chosen amplitude in knee units, through the whole engine. */
import { gainToDb } from '../../src/dsp/units.ts';
import { alignmentAmplitude } from '../../src/engine/calibration.ts';
import { findStageKind } from '../../src/engine/stages/catalogue.ts';
import { stage } from './rig.ts';

/** Drive in dB that turns a sine at the alignment level into one of peak `amplitude` at the curve. */
export function driveFor(kindId: string, params: Record<string, number | string>, amplitude: number): number {
  const kind = findStageKind(kindId);
  if (!kind) throw new Error(`no kind ${kindId}`);
  return gainToDb(amplitude / alignmentAmplitude(kind, Float64Array.from(stage(kindId, params).values)));
}

/** Most drive there is; what is beyond it is done by the trims, which together keep the level as well. */
const MOST = 24;

/** The stage with that drive. */
export function drivenTo(kindId: string, params: Record<string, number | string>, amplitude: number) {
  const drive = driveFor(kindId, params, amplitude);
  const rest = Math.max(0, drive - MOST);
  return stage(kindId, { ...params, drive: drive - rest, trimIn: rest, trimOut: -rest });
}
