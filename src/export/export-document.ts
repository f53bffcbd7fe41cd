/** The session as it leaves the house: what plays, with one side's racks, and nothing that only concerns listening. */

import { isMatched, withMatches } from '../measure/document-match.ts';
import type { SessionMatches, SideRacks } from '../measure/figures.ts';
import type { Rack, SessionDocument } from '../session/document.ts';
import { CLEAN, CURRENT, findScene, MIX_ID } from '../session/document.ts';
import { sideRacks } from '../session/effective.ts';
import { playingChannels } from '../session/hearing.ts';

/** Both sides of the switch as plain documents, equal but for their racks. */
export interface ExportSides {
  /** Null where it is clean: every rack empty. */
  readonly a: SessionDocument | null;
  readonly b: SessionDocument;
  /** What stands on each side, in words: "Clean" and "Coloured", or a scene's name. */
  readonly names: { readonly a: string; readonly b: string };
  /** Names of channels and buses that are muted, or whose bus is, and so are in no file. */
  readonly muted: readonly string[];
}

/**
 * Mute takes a strip out, with the channels of a muted bus; solo, being for listening, does nothing. Each side's racks
 * are those of the switch: scene, scope and all drives are worked into them.
 */
export function exportSides(document: SessionDocument): ExportSides {
  const { sides } = document;
  const sceneName = (id: string) => findScene(document, id)?.name ?? id;
  const a = sideDocument(document, 'a');
  const isClean = racksOf(a).every(({ stages }) => stages.length === 0);
  const names = {
    a: isClean ? 'Clean' : sides.a === CLEAN ? 'Clean within the scope' : sceneName(sides.a),
    b: sides.b === CURRENT ? 'Coloured' : sceneName(sides.b),
  };
  const strips = [...a.channels, ...a.buses].map(({ id }) => id);
  const muted = [...document.channels, ...document.buses].filter(({ id }) => !strips.includes(id));
  return { a: isClean ? null : a, b: sideDocument(document, 'b'), names, muted: muted.map(({ name }) => name) };
}

/** What the analysis is told of the two sides; it works on side B's document. */
export function analysisSides({ a, b }: ExportSides): SideRacks {
  return { a: a && rackRecord(a), b: rackRecord(b) };
}

/** Both sides with the gains that an analysis of side B's document found. */
export function matchedSides(sides: ExportSides, result: SessionMatches): ExportSides {
  const { matchesA, outputMatchA } = result;
  return {
    ...sides,
    a: sides.a && withMatches(sides.a, { matchesB: matchesA, outputMatch: outputMatchA }),
    b: withMatches(sides.b, result),
  };
}

/**
 * True when every gain that the export needs is stored. The last gain of a side A that isn't clean isn't stored, so
 * such a session is always computed.
 */
export function areMatched({ a, b }: ExportSides): boolean {
  return a === null && isMatched(b);
}

function sideDocument(document: SessionDocument, side: 'a' | 'b'): SessionDocument {
  const racks = sideRacks(document, side);
  const playing = playingChannels(document);
  const buses = document.buses.filter(({ id }) => playing.buses.includes(id));
  const silenced = (busId: string | null) =>
    playing.buses.length < document.buses.length && isLost(document, busId, buses);
  const channels = document.channels.filter(({ id, busId }) => playing.channels.includes(id) && !silenced(busId));
  const plain = { mute: false, solo: false };
  return {
    ...document,
    channels: channels.map((channel) => ({ ...channel, ...plain, rack: racks[channel.id] })),
    buses: buses.map((bus) => ({ ...bus, ...plain, rack: racks[bus.id] })),
    mix: { rack: racks[MIX_ID], outputMatchDb: side === 'b' ? document.mix.outputMatchDb : null },
    scenes: [],
    links: [],
    trials: [],
    sides: { a: CLEAN, b: CURRENT },
    scope: { kind: 'all' },
    allDrivesDb: 0,
  };
}

/** True for a bus that is in the session but doesn't play. */
function isLost(document: SessionDocument, busId: string | null, playing: readonly { readonly id: string }[]): boolean {
  const has = (list: readonly { readonly id: string }[]) => list.some(({ id }) => id === busId);
  return has(document.buses) && !has(playing);
}

function racksOf({ channels, buses, mix }: SessionDocument): Rack[] {
  return [...channels, ...buses, mix].map(({ rack }) => rack);
}

function rackRecord(document: SessionDocument): Record<string, Rack> {
  const strips = [...document.channels, ...document.buses].map(({ id, rack }) => [id, rack] as const);
  return Object.fromEntries([...strips, [MIX_ID, document.mix.rack] as const]);
}
