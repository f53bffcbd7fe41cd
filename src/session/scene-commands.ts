import * as v from 'valibot';
import type { Handlers } from './apply.ts';
import { removeById, tidy, within } from './apply.ts';
import { copyRack } from './copies.ts';
import { LIMITS } from './limits.ts';
import { findRack, findScene, findStrip, isKnownSide, MIX_ID, rackIds } from './lookup.ts';
import type { Rack, RackId, Scene, Scope, SessionDocument } from './schema.ts';
import { CLEAN, CURRENT, idSchema } from './schema.ts';
import { cleanName, cleanNotes, renamed } from './text.ts';

/** Stored settings of all racks, and what the switch compares. */
export type SceneCommand =
  | { type: 'store-scene'; id: string; name: string; notes?: string }
  /** The scene takes the racks as they are now; its name and notes stay. */
  | { type: 'update-scene'; sceneId: string }
  /** The racks become what the scene holds. A rack that came after the scene was stored stays as it is. */
  | { type: 'recall-scene'; sceneId: string }
  | { type: 'remove-scene'; sceneId: string }
  | { type: 'rename-scene'; sceneId: string; name: string }
  /** A is "clean" or a scene, B is "current" or a scene. */
  | { type: 'set-sides'; a?: string; b?: string }
  | { type: 'set-scope'; scope: Scope }
  | { type: 'set-all-drives'; db: number };

export const sceneHandlers: Handlers<SceneCommand> = {
  'store-scene': (draft, { id, name, notes = '' }) => {
    const taken = id === CLEAN || id === CURRENT || findScene(draft, id) !== undefined;
    if (taken || draft.scenes.length >= LIMITS.scenes || !v.is(idSchema, id)) return;
    const racks = racksNow(draft);
    const title = cleanName(name) || `Scene ${draft.scenes.length + 1}`;
    draft.scenes.push({ id, name: title, notes: cleanNotes(notes), racks, allDrivesDb: draft.allDrivesDb });
  },
  'update-scene': (draft, { sceneId }) => {
    const scene = findScene(draft, sceneId);
    if (!scene) return;
    scene.racks = racksNow(draft);
    scene.allDrivesDb = draft.allDrivesDb;
    tidy(draft);
  },
  'recall-scene': (draft, { sceneId }) => {
    const scene = findScene(draft, sceneId);
    if (!scene) return;
    for (const [rackId, rack] of Object.entries(scene.racks)) putRack(draft, rackId, copyRack(rack));
    draft.allDrivesDb = scene.allDrivesDb;
    tidy(draft);
  },
  'remove-scene': (draft, { sceneId }) => {
    removeById(draft.scenes, sceneId);
    tidy(draft);
  },
  'rename-scene': (draft, { sceneId, name }) => {
    const scene = findScene(draft, sceneId);
    if (scene) scene.name = renamed(scene.name, name);
  },
  'set-sides': (draft, { a, b }) => {
    if (a !== undefined && isKnownSide(draft, 'a', a)) draft.sides.a = a;
    if (b !== undefined && isKnownSide(draft, 'b', b)) draft.sides.b = b;
  },
  'set-scope': (draft, { scope }) => {
    if (scope.kind === 'all') draft.scope = { kind: 'all' };
    else if (findRack(draft, scope.rackId)) draft.scope = { kind: scope.kind, rackId: scope.rackId };
  },
  'set-all-drives': (draft, { db }) => {
    draft.allDrivesDb = within(LIMITS.allDrivesDb, db, draft.allDrivesDb);
  },
};

function racksNow(draft: SessionDocument): Scene['racks'] {
  return Object.fromEntries(rackIds(draft).map((id) => [id, copyRack(findRack(draft, id) as Rack)]));
}

function putRack(draft: SessionDocument, rackId: RackId, rack: Rack): void {
  const place = rackId === MIX_ID ? draft.mix : findStrip(draft, rackId);
  if (place) place.rack = rack;
}
