import * as v from 'valibot';
import type { Handlers } from './apply.ts';
import { moveById, removeById, tidy, within } from './apply.ts';
import { copyStage } from './copies.ts';
import { clampDrive, DRIVE } from './drive.ts';
import { LIMITS } from './limits.ts';
import { moveLinked } from './link-commands.ts';
import { findRack, findStage, rackIds } from './lookup.ts';
import type { Rack, RackId, SessionDocument, Stage } from './schema.ts';
import { idSchema, rackSchema, stageSchema } from './schema.ts';
import { freshId } from './text.ts';

/** One parameter of one stage. */
export interface ParameterSetting {
  rackId: RackId;
  stageId: string;
  parameterId: string;
  value: number | string;
}

export type StageCommand =
  /** A linked drive takes its link along. */
  | ({ type: 'set-parameter' } & ParameterSetting)
  /** Many at once, to exactly these values: what was computed for every stage is no drag, so no link follows. */
  | { type: 'set-many'; values: ParameterSetting[] }
  | { type: 'add-stage'; rackId: RackId; stage: Stage; index: number }
  | { type: 'remove-stage'; rackId: RackId; stageId: string }
  | { type: 'move-stage'; rackId: RackId; stageId: string; index: number }
  | { type: 'set-stage-on'; rackId: RackId; stageId: string; on: boolean }
  | { type: 'set-rack-on'; rackId: RackId; on: boolean }
  | { type: 'set-match-trim'; rackId: RackId; trimDb: number }
  /** The stages and the rack's on/off replace those of the others; each of these keeps its notes and is matched anew. */
  | { type: 'copy-rack'; fromRackId: RackId; toRackIds: RackId[] }
  /** The same with stages that are no rack's of this session. */
  | { type: 'put-rack'; name: string; stages: readonly Stage[]; rackIds: RackId[] }
  /** Takes every stage out; the notes stay. */
  | { type: 'clear-rack'; rackId: RackId };

export const stageHandlers: Handlers<StageCommand> = {
  'set-parameter': (draft, { rackId, stageId, parameterId, value }) => {
    const stage = findStage(draft, rackId, stageId);
    if (!stage || !isStorable(parameterId, value)) return;
    const before = stage.params[DRIVE.id];
    setParameter(stage, parameterId, value);
    if (parameterId === DRIVE.id) moveLinked(draft, { rackId, stageId }, before, stage.params[DRIVE.id]);
  },
  'set-many': (draft, { values }) => {
    for (const { rackId, stageId, parameterId, value } of values) {
      const stage = findStage(draft, rackId, stageId);
      if (stage && isStorable(parameterId, value)) setParameter(stage, parameterId, value);
    }
  },
  'add-stage': (draft, { rackId, stage, index }) => {
    const rack = findRack(draft, rackId);
    const copy = copyStage(stage);
    if (!rack || rack.stages.length >= LIMITS.stages || rack.stages.some(({ id }) => id === copy.id)) return;
    if (v.is(stageSchema, copy)) rack.stages.splice(Math.max(0, index), 0, copy);
  },
  'remove-stage': (draft, { rackId, stageId }) => {
    const rack = findRack(draft, rackId);
    if (!rack || !findStage(draft, rackId, stageId)) return;
    removeById(rack.stages, stageId);
    tidy(draft);
  },
  'move-stage': (draft, { rackId, stageId, index }) => {
    const rack = findRack(draft, rackId);
    if (rack) moveById(rack.stages, stageId, index);
  },
  'set-stage-on': (draft, { rackId, stageId, on }) => {
    const stage = findStage(draft, rackId, stageId);
    if (stage) stage.on = on;
  },
  'set-rack-on': (draft, { rackId, on }) => {
    const rack = findRack(draft, rackId);
    if (rack) rack.on = on;
  },
  'set-match-trim': (draft, { rackId, trimDb }) => {
    const rack = findRack(draft, rackId);
    if (rack) rack.matchTrimDb = within(LIMITS.matchTrimDb, trimDb, rack.matchTrimDb);
  },
  'copy-rack': (draft, { fromRackId, toRackIds }) => {
    const source = findRack(draft, fromRackId);
    if (!source) return;
    const targets = toRackIds.filter((id) => id !== fromRackId);
    for (const rack of putStages(draft, source.stages, targets)) rack.on = source.on;
  },
  'put-rack': (draft, { stages, rackIds: targets }) => {
    if (!v.is(rackSchema.entries.stages, stages)) return;
    for (const rack of putStages(draft, stages, targets)) rack.on = true;
  },
  'clear-rack': (draft, { rackId }) => {
    const rack = findRack(draft, rackId);
    if (!rack || rack.stages.length === 0) return;
    rack.stages = [];
    rack.matchGainDb = null;
    rack.matchTrimDb = 0;
    tidy(draft);
  },
};

/** Copies of the stages, under ids that are nobody's yet, in place of the racks' own. @returns the racks that there are */
function putStages(draft: SessionDocument, from: readonly Stage[], targets: readonly RackId[]): Rack[] {
  // Read before the first rack is written: it may be one of those that are replaced.
  const stages = from.map(copyStage);
  const taken = new Set(rackIds(draft).flatMap((id) => findRack(draft, id)?.stages.map((stage) => stage.id) ?? []));
  const racks = [...new Set(targets)].flatMap((id) => findRack(draft, id) ?? []);
  for (const rack of racks) {
    rack.stages = stages.map((stage) => ({ ...copyStage(stage), id: freshId(stage.id, taken) }));
    rack.matchGainDb = null;
    rack.matchTrimDb = 0;
  }
  tidy(draft);
  return racks;
}

function setParameter(stage: Stage, parameterId: string, value: number | string): void {
  stage.params[parameterId] = parameterId === DRIVE.id && typeof value === 'number' ? clampDrive(value) : value;
}

/** JSON has neither NaN nor infinity. */
function isStorable(parameterId: string, value: number | string): boolean {
  if (!v.is(idSchema, parameterId)) return false;
  return typeof value === 'string' ? value.length <= LIMITS.name : Number.isFinite(value);
}
