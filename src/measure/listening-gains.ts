import type { ListeningGains } from '../render/listening-config.ts';
import type { SessionMatches } from './figures.ts';

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
