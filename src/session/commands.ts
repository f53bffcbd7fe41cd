import { clamp } from '../dsp/units.ts';
import type { Bus, Channel, Rack, RackId, Region, SessionDocument, Stage } from './document.ts';
import { findRack, LIMITS, MIX_ID } from './document.ts';

/** What a user can do to a session. Every command is plain data, so it can be stored, repeated and undone. */
export type Command =
  | { type: 'set-parameter'; rackId: RackId; stageId: string; parameterId: string; value: number | string }
  | { type: 'add-stage'; rackId: RackId; stage: Stage; index: number }
  | { type: 'remove-stage'; rackId: RackId; stageId: string }
  | { type: 'move-stage'; rackId: RackId; stageId: string; index: number }
  | { type: 'set-stage-on'; rackId: RackId; stageId: string; on: boolean }
  | { type: 'set-rack-on'; rackId: RackId; on: boolean }
  | { type: 'set-match-trim'; rackId: RackId; trimDb: number }
  | { type: 'set-channel'; channelId: string; gainDb?: number; pan?: number; name?: string; busId?: string | null }
  | { type: 'set-bus-gain'; busId: string; gainDb: number }
  | { type: 'add-channel'; channel: Channel }
  | { type: 'remove-channel'; channelId: string }
  | { type: 'add-bus'; bus: Bus }
  /** Its channels play into the mix from then on. */
  | { type: 'remove-bus'; busId: string }
  | { type: 'rename-bus'; busId: string; name: string }
  | { type: 'set-loop'; region: Region | null }
  | { type: 'set-match-region'; region: Region | null }
  | { type: 'set-matching'; on: boolean }
  | { type: 'set-export-oversampling'; factor: 4 | 8 };

/**
 * Applies a command to a draft of the document, in place.
 * A command that names something that isn't there changes nothing: the screen may be one step behind the document.
 * The document stays valid whatever comes: a number beyond its range is taken to the end of it, one that is none and a
 * region that ends before it starts change nothing.
 */
export function applyCommand(draft: SessionDocument, command: Command): void {
  switch (command.type) {
    case 'set-parameter': {
      const stage = findStage(draft, command.rackId, command.stageId);
      if (stage && isStorable(command.value)) stage.params[command.parameterId] = command.value;
      return;
    }
    case 'add-stage': {
      const rack = findRack(draft, command.rackId);
      if (!rack || rack.stages.length >= LIMITS.stages || rack.stages.some(({ id }) => id === command.stage.id)) return;
      rack.stages.splice(Math.max(0, command.index), 0, structuredCopy(command.stage));
      return;
    }
    case 'remove-stage': {
      const rack = findRack(draft, command.rackId);
      if (rack) removeById(rack.stages, command.stageId);
      return;
    }
    case 'move-stage': {
      const rack = findRack(draft, command.rackId);
      if (rack) moveStage(rack, command.stageId, command.index);
      return;
    }
    case 'set-stage-on': {
      const stage = findStage(draft, command.rackId, command.stageId);
      if (stage) stage.on = command.on;
      return;
    }
    case 'set-rack-on': {
      const rack = findRack(draft, command.rackId);
      if (rack) rack.on = command.on;
      return;
    }
    case 'set-match-trim': {
      const rack = findRack(draft, command.rackId);
      if (rack) rack.matchTrimDb = within(LIMITS.matchTrimDb, command.trimDb, rack.matchTrimDb);
      return;
    }
    case 'set-channel': {
      const channel = draft.channels.find(({ id }) => id === command.channelId);
      if (!channel) return;
      if (command.gainDb !== undefined) channel.gainDb = within(LIMITS.gainDb, command.gainDb, channel.gainDb);
      if (command.pan !== undefined) channel.pan = within(LIMITS.pan, command.pan, channel.pan);
      if (command.name !== undefined) channel.name = command.name.slice(0, LIMITS.name);
      if (command.busId !== undefined && isTarget(draft, command.busId)) channel.busId = command.busId;
      return;
    }
    case 'set-bus-gain': {
      const bus = draft.buses.find(({ id }) => id === command.busId);
      if (bus) bus.gainDb = within(LIMITS.gainDb, command.gainDb, bus.gainDb);
      return;
    }
    case 'add-channel': {
      const { channel } = command;
      const busId = isTarget(draft, channel.busId) ? channel.busId : null;
      if (!isTaken(draft, channel.id))
        draft.channels.push({ ...channel, busId, rack: { ...channel.rack, stages: [] } });
      return;
    }
    case 'remove-channel':
      removeById(draft.channels, command.channelId);
      return;
    case 'add-bus':
      if (!isTaken(draft, command.bus.id))
        draft.buses.push({ ...command.bus, rack: { ...command.bus.rack, stages: [] } });
      return;
    case 'remove-bus':
      removeById(draft.buses, command.busId);
      for (const channel of draft.channels) if (channel.busId === command.busId) channel.busId = null;
      return;
    case 'rename-bus': {
      const bus = draft.buses.find(({ id }) => id === command.busId);
      if (bus) bus.name = command.name.slice(0, LIMITS.name);
      return;
    }
    case 'set-loop':
      draft.loop = regionOr(draft.loop, command.region);
      return;
    case 'set-match-region':
      draft.matchRegion = regionOr(draft.matchRegion, command.region);
      return;
    case 'set-matching':
      draft.matching = command.on;
      return;
    case 'set-export-oversampling':
      draft.exportOversampling = command.factor;
      return;
  }
}

function findStage(document: SessionDocument, rackId: RackId, stageId: string): Stage | undefined {
  return findRack(document, rackId)?.stages.find(({ id }) => id === stageId);
}

function moveStage(rack: Rack, stageId: string, index: number): void {
  const from = rack.stages.findIndex(({ id }) => id === stageId);
  if (from < 0) return;
  const [stage] = rack.stages.splice(from, 1);
  if (stage) rack.stages.splice(Math.max(0, Math.min(index, rack.stages.length)), 0, stage);
}

function structuredCopy(stage: Stage): Stage {
  return { ...stage, params: { ...stage.params } };
}

/** In place, so that a command which removes nothing changes nothing. */
function removeById(list: { id: string }[], id: string): void {
  const index = list.findIndex((one) => one.id === id);
  if (index >= 0) list.splice(index, 1);
}

function within([min, max]: readonly [number, number], value: number, before: number): number {
  return Number.isNaN(value) ? before : clamp(value, min, max);
}

/** JSON has neither NaN nor infinity. */
function isStorable(value: number | string): boolean {
  return typeof value === 'string' || Number.isFinite(value);
}

function isTarget({ buses }: SessionDocument, busId: string | null): boolean {
  return busId === null || buses.some(({ id }) => id === busId);
}

function isTaken(document: SessionDocument, id: string): boolean {
  return id === MIX_ID || findRack(document, id) !== undefined;
}

function regionOr(before: Region | null, region: Region | null): Region | null {
  if (region === null) return null;
  const startSeconds = Math.max(0, region.startSeconds);
  return region.endSeconds > startSeconds && Number.isFinite(region.endSeconds)
    ? { startSeconds, endSeconds: region.endSeconds }
    : before;
}
