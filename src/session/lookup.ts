import type { Bus, Channel, DriveLink, LinkMember, Rack, RackId, Scene, SessionDocument, Stage } from './schema.ts';
import { CLEAN, CURRENT } from './schema.ts';

export const MIX_ID: RackId = 'mix';

/** The rack named by `rackId`; undefined when there is none. */
export function findRack(document: SessionDocument, rackId: RackId): Rack | undefined {
  return rackId === MIX_ID ? document.mix.rack : findStrip(document, rackId)?.rack;
}

/** The channel or bus named by `stripId`; undefined when there is none. */
export function findStrip(document: SessionDocument, stripId: string): Channel | Bus | undefined {
  return document.channels.find(({ id }) => id === stripId) ?? document.buses.find(({ id }) => id === stripId);
}

export function findStage(document: SessionDocument, rackId: RackId, stageId: string): Stage | undefined {
  return findRack(document, rackId)?.stages.find(({ id }) => id === stageId);
}

export function findScene(document: SessionDocument, sceneId: string): Scene | undefined {
  return document.scenes.find(({ id }) => id === sceneId);
}

/** The link that a drive is in; undefined for a drive on its own. */
export function linkOf(document: SessionDocument, { rackId, stageId }: LinkMember): DriveLink | undefined {
  return document.links.find(({ members }) => members.some((m) => m.rackId === rackId && m.stageId === stageId));
}

/** Every rack's id in the order of the signal path: channels, buses, mix. */
export function rackIds(document: SessionDocument): RackId[] {
  return [...document.channels.map(({ id }) => id), ...document.buses.map(({ id }) => id), MIX_ID];
}

/** True for what may stand on that side of the switch. */
export function isKnownSide(document: SessionDocument, side: 'a' | 'b', value: string): boolean {
  return value === (side === 'a' ? CLEAN : CURRENT) || findScene(document, value) !== undefined;
}

/** One text for a stage of a rack, to compare by. */
export function memberKey({ rackId, stageId }: LinkMember): string {
  return `${rackId}\n${stageId}`;
}

/** The keys of every stage that stands in a rack now or in a scene: what a link may name. */
export function stagesIn(document: SessionDocument): Set<string> {
  const keys = new Set<string>();
  const add = (rackId: RackId, rack: Rack | undefined) => {
    for (const { id } of rack?.stages ?? []) keys.add(memberKey({ rackId, stageId: id }));
  };
  for (const rackId of rackIds(document)) add(rackId, findRack(document, rackId));
  for (const { racks } of document.scenes) for (const [rackId, rack] of Object.entries(racks)) add(rackId, rack);
  return keys;
}
