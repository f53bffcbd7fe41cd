import { drivenRack } from './drive.ts';
import { findRack, findScene, rackIds } from './lookup.ts';
import type { Rack, RackId, Scope, SessionDocument } from './schema.ts';
import { CLEAN, CURRENT } from './schema.ts';

const EMPTY: Rack = { on: true, stages: [], matchGainDb: null, matchTrimDb: 0, notes: '' };

/**
 * What every rack is on one side of the switch, by the rack's id: the setting that stands on that side, its drives
 * moved by that setting's all drives. Clean has empty racks whatever these say. Racks outside the scope are alike on
 * both sides, as side B has them, so that what is heard when switching is the work of the racks inside it alone.
 * Racks that are alike keep their identity; the document is not changed.
 */
export function sideRacks(document: SessionDocument, side: 'a' | 'b'): Record<RackId, Rack> {
  const { sides, scope } = document;
  const settingOf = (rackId: RackId) => (side === 'a' && isInScope(scope, rackId) ? sides.a : sides.b);
  return Object.fromEntries(rackIds(document).map((id) => [id, rackOf(document, id, settingOf(id))]));
}

/** True for a rack that the switch moves. */
export function isInScope(scope: Scope, rackId: RackId): boolean {
  if (scope.kind === 'all') return true;
  return (scope.kind === 'only') === (rackId === scope.rackId);
}

/**
 * True where a rack as it is set now stands on at least one side of the switch. A rack that a scene doesn't know yet
 * is as it is now there too.
 */
export function isOnASide(document: SessionDocument, rackId: RackId): boolean {
  const { sides, scope } = document;
  const asNow = (setting: string) => {
    if (setting === CLEAN) return false;
    const scene = setting === CURRENT ? undefined : findScene(document, setting);
    return !scene || !Object.hasOwn(scene.racks, rackId);
  };
  return asNow(sides.b) || (isInScope(scope, rackId) && asNow(sides.a));
}

/** One rack in a setting: clean, current or a scene. One that the scene doesn't know yet is as it is now. */
function rackOf(document: SessionDocument, rackId: RackId, setting: string): Rack {
  if (setting === CLEAN) return EMPTY;
  const now = findRack(document, rackId) ?? EMPTY;
  const scene = setting === CURRENT ? undefined : findScene(document, setting);
  if (!scene) return drivenRack(now, document.allDrivesDb);
  const stored = Object.hasOwn(scene.racks, rackId) ? scene.racks[rackId] : now;
  return drivenRack(stored, scene.allDrivesDb);
}
