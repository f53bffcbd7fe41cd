/** What the handlers of commands have in common. */
import { clamp } from '../dsp/units.ts';
import { findRack, MIX_ID, memberKey, rackIds, stagesIn } from './lookup.ts';
import type { Region, SessionDocument } from './schema.ts';
import { CLEAN, CURRENT } from './schema.ts';

/** One handler for each command of a family; each changes a draft of the document in place. */
export type Handlers<Commands extends { type: string }> = {
  [Type in Commands['type']]: (draft: SessionDocument, command: Extract<Commands, { type: Type }>) => void;
};

/** Taken to the end of the range; what is no number changes nothing. Adding 0 makes −0 into 0, as JSON does. */
export function within([min, max]: readonly [number, number], value: number, before: number): number {
  return Number.isNaN(value) ? before : clamp(value, min, max) + 0;
}

/** In place, so that a command which removes nothing changes nothing. */
export function removeById(list: { id: string }[], id: string): void {
  const index = list.findIndex((one) => one.id === id);
  if (index >= 0) list.splice(index, 1);
}

/** To the place `index` has once the entry is taken out; beyond the ends is at the end. */
export function moveById<T extends { id: string }>(list: T[], id: string, index: number): void {
  const from = list.findIndex((one) => one.id === id);
  const to = clamp(Math.trunc(index), 0, list.length - 1);
  if (from < 0 || Number.isNaN(to) || from === to) return;
  const [entry] = list.splice(from, 1);
  if (entry) list.splice(to, 0, entry);
}

export function isTarget({ buses }: SessionDocument, busId: string | null): boolean {
  return busId === null || buses.some(({ id }) => id === busId);
}

export function isTaken(document: SessionDocument, id: string): boolean {
  return id === MIX_ID || findRack(document, id) !== undefined;
}

export function regionOr(before: Region | null, region: Region | null): Region | null {
  if (region === null) return null;
  const startSeconds = Math.max(0, region.startSeconds) + 0;
  return region.endSeconds > startSeconds && Number.isFinite(region.endSeconds)
    ? { startSeconds, endSeconds: region.endSeconds }
    : before;
}

/**
 * After anything was taken out: what named it goes too. The scenes forget a rack that is gone, the switch falls back
 * to clean against current, and a link with fewer than two drives left is none.
 */
export function tidy(draft: SessionDocument): void {
  const racks = new Set(rackIds(draft));
  for (const scene of draft.scenes) {
    for (const rackId of Object.keys(scene.racks)) if (!racks.has(rackId)) delete scene.racks[rackId];
  }
  const isScene = (side: string) => draft.scenes.some(({ id }) => id === side);
  if (draft.sides.a !== CLEAN && !isScene(draft.sides.a)) draft.sides.a = CLEAN;
  if (draft.sides.b !== CURRENT && !isScene(draft.sides.b)) draft.sides.b = CURRENT;
  if (draft.scope.kind !== 'all' && !racks.has(draft.scope.rackId)) draft.scope = { kind: 'all' };
  if (draft.links.length > 0) tidyLinks(draft);
}

function tidyLinks(draft: SessionDocument): void {
  const there = stagesIn(draft);
  for (const link of [...draft.links]) {
    const members = link.members.filter((member) => there.has(memberKey(member)));
    if (members.length < 2) removeById(draft.links, link.id);
    else if (members.length < link.members.length) link.members = members.map((member) => ({ ...member }));
  }
}
