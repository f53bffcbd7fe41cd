/** The sounds and controls that a session has for trials. */

import { LEAST_RANGE_DB } from '../../blind/trial-plan.ts';
import { parameterFault } from '../../engine/parameters.ts';
import { findStageKind } from '../../engine/stages/catalogue.ts';
import type { RackId, SessionDocument, Stage } from '../../session/document.ts';
import { CLEAN, CURRENT, findRack, LIMITS, rackIds } from '../../session/document.ts';
import { DRIVE, driveOf } from '../../session/drive.ts';
import type { ControlChoice, TrialChoice, TrialControl, TrialSound, TrialStage } from '../../stores/trial-store.ts';
import { controlId, controlName, soundId, soundName, stageName } from './names.ts';

/** A range to search reaches this far to both sides of where the control stands, dB. */
const REACH_DB = 12;

interface Found {
  readonly rackId: RackId;
  readonly stages: readonly Stage[];
}

/** Clean, the session as it stands and its scenes; then what is missing when one rack or one stage is left out. */
export function soundChoices(document: SessionDocument): TrialChoice<TrialSound>[] {
  const racks = colouredRacks(document);
  const stages = racks.flatMap(({ rackId, stages: all }) => all.map(({ id }) => ({ rackId, stageId: id })));
  const sounds: TrialSound[] = [
    { what: 'setting', setting: CLEAN },
    ...(racks.length > 0 ? [{ what: 'setting', setting: CURRENT } as const] : []),
    ...document.scenes.map(({ id }) => ({ what: 'setting', setting: id }) as const),
    // What is the only one of its kind is missing in Clean.
    ...(racks.length > 1 ? racks.map(({ rackId }) => ({ what: 'rack', rackId, setting: CLEAN }) as const) : []),
    ...(stages.length > 1 ? stages.map((stage) => ({ what: 'stage-off', ...stage }) as const) : []),
  ];
  return sounds.map((value) => ({ id: soundId(value), name: soundName(document, value), value }));
}

/** Stages that are heard, as they are set. */
export function stageChoices(document: SessionDocument): TrialStage[] {
  return colouredRacks(document).flatMap(({ rackId, stages }) =>
    stages.map(({ id, kind, params }) => ({
      rackId,
      stageId: id,
      name: stageName(document, rackId, id),
      kind,
      params,
    })),
  );
}

/**
 * The sound that has this id: one of the choices, or a stage at another setting.
 * Null where the session no longer has it.
 */
export function soundOf(document: SessionDocument, wanted: string): TrialSound | null {
  const known = soundChoices(document).find(({ id }) => id === wanted);
  if (known) return known.value;
  for (const { rackId, stageId, kind } of stageChoices(document)) {
    for (const parameter of findStageKind(kind)?.parameters ?? []) {
      const start = soundId({ what: 'stage', rackId, stageId, parameterId: parameter.id, value: '' });
      if (!wanted.startsWith(start)) continue;
      const text = wanted.slice(start.length);
      const value = parameter.type === 'choice' ? text : Number(text);
      if (parameterFault(parameter, value) === null)
        return { what: 'stage', rackId, stageId, parameterId: parameter.id, value };
    }
  }
  return null;
}

/** All drives together, those of each rack with several stages, and each for itself. */
export function controlChoices(document: SessionDocument): ControlChoice[] {
  const racks = drivenRacks(document);
  const all = racks.flatMap(({ stages }) => stages);
  const together = (value: TrialControl, stages: readonly Stage[], nowDb: number, moved: number): ControlChoice[] => {
    const drives = stages.map((stage) => (driveOf(stage) ?? 0) + moved);
    // As far as every drive goes along.
    const [low, high] = LIMITS.allDrivesDb;
    return choice(
      value,
      Math.max(low, DRIVE.min - Math.min(...drives)),
      Math.min(high, DRIVE.max - Math.max(...drives)),
      nowDb,
    );
  };
  const choice = (value: TrialControl, least: number, greatest: number, nowDb: number): ControlChoice[] => {
    if (!(greatest - least >= LEAST_RANGE_DB)) return [];
    const min = Math.min(Math.max(least, nowDb - REACH_DB), greatest - LEAST_RANGE_DB);
    const max = Math.max(Math.min(greatest, nowDb + REACH_DB), min + LEAST_RANGE_DB);
    return [{ id: controlId(value), name: controlName(document, value), value, least, greatest, min, max, nowDb }];
  };
  return [
    ...(all.length > 0 ? together({ what: 'all' }, all, document.allDrivesDb, 0) : []),
    ...racks
      .filter(({ stages }) => stages.length > 1)
      .flatMap(({ rackId, stages }) => together({ what: 'rack', rackId }, stages, 0, document.allDrivesDb)),
    ...racks.flatMap(({ rackId, stages }) =>
      stages.flatMap((stage) =>
        choice({ what: 'stage', rackId, stageId: stage.id }, DRIVE.min, DRIVE.max, driveOf(stage) ?? 0),
      ),
    ),
  ];
}

/** Racks that are on, with their stages that are. */
function colouredRacks(document: SessionDocument): Found[] {
  return rackIds(document).flatMap((rackId) => {
    const rack = findRack(document, rackId);
    const stages = rack?.on ? rack.stages.filter(({ on }) => on) : [];
    return stages.length > 0 ? [{ rackId, stages }] : [];
  });
}

/** Racks that are on, with their stages that have a drive, also those that are off. */
function drivenRacks(document: SessionDocument): Found[] {
  return rackIds(document).flatMap((rackId) => {
    const rack = findRack(document, rackId);
    const stages = rack?.on ? rack.stages.filter((stage) => driveOf(stage) !== null) : [];
    return stages.length > 0 ? [{ rackId, stages }] : [];
  });
}
