/** From the session document to what is listened to: both sides of the switch, mute and solo, the gains of this moment. */
import { dbToGain } from '../dsp/units.ts';
import type { SessionConfig } from '../engine/config.ts';
import type { SessionDocument } from '../session/document.ts';
import { CLEAN, CURRENT } from '../session/document.ts';
import { sideRacks } from '../session/effective.ts';
import { heardChannels } from '../session/hearing.ts';
import type { SideGains } from './engine-config.ts';
import { graphConfig } from './engine-config.ts';

/** Gains of sides that the document doesn't store them for: scenes, and side A within a scope. */
export interface ListeningGains {
  readonly a: SideGains | null;
  readonly b: SideGains | null;
  /** Common headroom, dB, at most 0. */
  readonly headroomDb: number;
}

/** Of a session that isn't analysed yet. */
export const NO_GAINS: ListeningGains = { a: null, b: null, headroomDb: 0 };

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
