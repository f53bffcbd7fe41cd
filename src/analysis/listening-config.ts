/** From the session document to what is listened to: both sides of the switch, mute and solo, the gains of this moment. */
import { dbToGain } from '../dsp/units.ts';
import type { GraphConfig, SessionConfig } from '../engine/config.ts';
import type { Rack, RackId, SessionDocument } from '../session/document.ts';
import { CLEAN, CURRENT, MIX_ID } from '../session/document.ts';
import { sideRacks } from '../session/effective.ts';
import type { Hearing } from '../session/hearing.ts';
import { heardChannels } from '../session/hearing.ts';
import { rackConfig } from './engine-config.ts';
import type { SessionMatches } from './session-analysis.ts';

/** Match gains of one side, dB; what isn't known yet is null. */
export interface SideGains {
  readonly racks: Readonly<Record<RackId, number | null>>;
  readonly outputDb: number | null;
}

/** Gains of sides that the document doesn't store them for: scenes, and side A within a scope. */
export interface ListeningGains {
  readonly a: SideGains | null;
  readonly b: SideGains | null;
  /** Common headroom, dB, at most 0. */
  readonly headroomDb: number;
}

/** Of a session that isn't analysed yet. */
export const NO_GAINS: ListeningGains = { a: null, b: null, headroomDb: 0 };

/** What an analysis found, as it is listened to. */
export function listeningGains(matches: SessionMatches): ListeningGains {
  const dbOf = (racks: SessionMatches['matchesA']) =>
    Object.fromEntries(Object.entries(racks).map(([id, match]) => [id, match?.gainDb ?? null]));
  return {
    a: { racks: dbOf(matches.matchesA), outputDb: matches.outputMatchA?.gainDb ?? null },
    b: { racks: dbOf(matches.matchesB), outputDb: matches.outputMatch?.gainDb ?? null },
    headroomDb: matches.headroomDb,
  };
}

/** True where side A is simply clean: every rack empty. */
export function isPlainClean({ sides, scope }: SessionDocument): boolean {
  return sides.a === CLEAN && scope.kind === 'all';
}

export function listeningConfig(document: SessionDocument, gains: ListeningGains): SessionConfig {
  const hearing = heardChannels(document);
  const stored: SideGains = { racks: {}, outputDb: document.mix.outputMatchDb };
  const b = document.sides.b === CURRENT ? stored : gains.b;
  const a: SideGains | null = isPlainClean(document) ? { racks: {}, outputDb: 0 } : gains.a;
  return {
    alignmentDbfs: document.alignmentDbfs,
    a: graphConfig(document, sideRacks(document, 'a'), a, hearing),
    b: graphConfig(document, sideRacks(document, 'b'), b, hearing),
    headroom: dbToGain(gains.headroomDb),
  };
}

function graphConfig(
  document: SessionDocument,
  racks: Readonly<Record<RackId, Rack>>,
  gains: SideGains | null,
  hearing: Hearing,
): GraphConfig {
  const { matching } = document;
  const rack = (id: RackId) => {
    const own = racks[id];
    return rackConfig({ ...own, matchGainDb: gains?.racks[id] ?? own.matchGainDb }, matching);
  };
  const gain = (id: string, db: number, heard: readonly string[]) => (heard.includes(id) ? dbToGain(db) : 0);
  return {
    channels: document.channels.map(({ id, busId, gainDb, pan }) => ({
      bus: document.buses.findIndex((bus) => bus.id === busId),
      gain: gain(id, gainDb, hearing.channels),
      pan: pan / 100,
      solo: hearing.solo.includes(id),
      rack: rack(id),
    })),
    buses: document.buses.map(({ id, gainDb }) => ({
      gain: gain(id, gainDb, hearing.buses),
      solo: hearing.solo.includes(id),
      rack: rack(id),
    })),
    mix: rack(MIX_ID),
    outputGain: matching ? dbToGain(gains?.outputDb ?? 0) : 1,
  };
}
