/** What the racks are in each sound of a trial: the session as it stands, but for what the sound says. */

import type { Rack, RackId, SessionDocument } from '../../session/document.ts';
import { CLEAN, CURRENT, findRack, findScene, MIX_ID } from '../../session/document.ts';
import { clampDrive, DRIVE, drivenRack } from '../../session/drive.ts';
import { sideRacks } from '../../session/effective.ts';
import type { TrialControl, TrialSound } from '../../stores/trial-store.ts';

export type Racks = Readonly<Record<RackId, Rack>>;

/** Null where the sound names something that isn't in the session. */
export function soundRacks(document: SessionDocument, sound: TrialSound): Racks | null {
  switch (sound.what) {
    case 'setting':
      return settingRacks(document, sound.setting);
    case 'rack': {
      const { rackId } = sound;
      const setting = settingRacks(document, sound.setting);
      return setting && findRack(document, rackId)
        ? { ...settingRacks(document, CURRENT), [rackId]: setting[rackId] }
        : null;
    }
    case 'stage-off':
      return current(withStage(document, sound.rackId, sound.stageId, { on: false }));
    case 'stage':
      return current(
        withStage(document, sound.rackId, sound.stageId, { params: { [sound.parameterId]: sound.value } }),
      );
  }
}

/** The racks with the control at an amount, dB; null is without its colour. Null where the control isn't in the session. */
export function amountRacks(document: SessionDocument, control: TrialControl, amount: number | null): Racks | null {
  switch (control.what) {
    case 'all':
      return amount === null ? settingRacks(document, CLEAN) : current({ ...document, allDrivesDb: amount });
    case 'rack':
      return current(
        withRack(document, control.rackId, (rack) =>
          amount === null ? { ...rack, on: false } : { ...drivenRack(rack, amount), on: true },
        ),
      );
    case 'stage':
      return current(
        withStage(
          document,
          control.rackId,
          control.stageId,
          amount === null ? { on: false } : { on: true, params: { [DRIVE.id]: clampDrive(amount) } },
        ),
      );
  }
}

/** The session as it stands, whatever is on the switch's sides: the document that the sounds of a trial start from. */
export function asItStands(document: SessionDocument): SessionDocument {
  return { ...document, sides: { a: CLEAN, b: CURRENT }, scope: { kind: 'all' } };
}

function settingRacks(document: SessionDocument, setting: string): Racks | null {
  const now = asItStands(document);
  if (setting === CURRENT) return sideRacks(now, 'b');
  if (setting !== CLEAN && !findScene(document, setting)) return null;
  return sideRacks({ ...now, sides: { a: setting, b: CURRENT } }, 'a');
}

function current(document: SessionDocument | null): Racks | null {
  return document && settingRacks(document, CURRENT);
}

function withRack(document: SessionDocument, rackId: RackId, change: (rack: Rack) => Rack): SessionDocument | null {
  if (!findRack(document, rackId)) return null;
  const changed = <T extends { readonly id: string; readonly rack: Rack }>(strip: T): T =>
    strip.id === rackId ? { ...strip, rack: change(strip.rack) } : strip;
  const { channels, buses, mix } = document;
  return {
    ...document,
    channels: channels.map(changed),
    buses: buses.map(changed),
    mix: rackId === MIX_ID ? { ...mix, rack: change(mix.rack) } : mix,
  };
}

function withStage(
  document: SessionDocument,
  rackId: RackId,
  stageId: string,
  { on, params }: { readonly on?: boolean; readonly params?: Readonly<Record<string, number | string>> },
): SessionDocument | null {
  if (!findRack(document, rackId)?.stages.some(({ id }) => id === stageId)) return null;
  return withRack(document, rackId, (rack) => ({
    ...rack,
    stages: rack.stages.map((stage) =>
      stage.id === stageId ? { ...stage, on: on ?? stage.on, params: { ...stage.params, ...params } } : stage,
    ),
  }));
}
