import { clamp } from '../dsp/units.ts';
import type { Rack, Stage } from './schema.ts';

/**
 * The parameter that links and all drives move. The session doesn't know the engine; a test compares this range with
 * the engine's declaration for every kind.
 */
export const DRIVE = { id: 'drive', min: -24, max: 24 } as const;

/** Within a drive's range. Adding 0 makes −0 into 0, as JSON does. */
export function clampDrive(db: number): number {
  return clamp(db, DRIVE.min, DRIVE.max) + 0;
}

/** A stage's drive in dB; null for a stage of an unknown kind that has none. */
export function driveOf(stage: Stage): number | null {
  const value = stage.params[DRIVE.id];
  return typeof value === 'number' ? value : null;
}

/** The rack with every drive moved by `db`; the same object where nothing moves. */
export function drivenRack(rack: Rack, db: number): Rack {
  if (db === 0 || rack.stages.length === 0) return rack;
  return { ...rack, stages: rack.stages.map((stage) => drivenStage(stage, db)) };
}

/** The stage with its drive moved by `db`; the same object where nothing moves. */
export function drivenStage(stage: Stage, db: number): Stage {
  const drive = driveOf(stage);
  if (drive === null || db === 0) return stage;
  return { ...stage, params: { ...stage.params, [DRIVE.id]: clampDrive(drive + db) } };
}
