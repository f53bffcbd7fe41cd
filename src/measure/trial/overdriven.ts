/** A setting plainly overdriven, for catch trials: whoever listens hears it. */
import type { Rack, RackId, Stage } from '../../session/document.ts';
import { clampDrive, driveOf } from '../../session/drive.ts';

export const OVERDRIVE_DB = 18;

type Racks = Readonly<Record<RackId, Rack>>;

/**
 * Every drive 18 dB up. What a drive's range doesn't hold goes in by the trims, which work the curve as hard. A setting
 * without colour takes the first of `others` that has some; where none has, it comes back as it is.
 */
export function overdriven(racks: Racks, others: readonly Racks[]): Racks {
  const coloured = [racks, ...others].find(isColoured);
  if (!coloured) return racks;
  return Object.fromEntries(
    Object.entries(coloured).map(([id, rack]) => [id, { ...rack, stages: rack.stages.map(pushed) }]),
  );
}

function isColoured(racks: Racks): boolean {
  return Object.values(racks).some(({ on, stages }) => on && stages.some((stage) => stage.on));
}

function pushed(stage: Stage): Stage {
  const drive = driveOf(stage) ?? 0;
  const raised = clampDrive(drive + OVERDRIVE_DB);
  const rest = OVERDRIVE_DB - (raised - drive);
  const trim = (id: string) => (typeof stage.params[id] === 'number' ? (stage.params[id] as number) : 0);
  const trims = { trimIn: trim('trimIn') + rest, trimOut: trim('trimOut') - rest };
  return { ...stage, params: { ...stage.params, drive: raised, ...(rest > 0 ? trims : null) } };
}
