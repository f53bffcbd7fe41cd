/** The match gains as the document stores them. */
import type { Rack, SessionDocument } from '../session/document.ts';
import { MIX_ID } from '../session/document.ts';
import type { MatchFigures, SessionMatches } from './figures.ts';

/** True for a rack that changes the sound and so needs a match gain. */
function needsMatch(rack: Rack): boolean {
  return rack.on && rack.stages.length > 0;
}

/** True when every gain that an export needs is stored, so that it can use what was heard. */
export function isMatched(document: SessionDocument): boolean {
  const racks = [...document.channels, ...document.buses, document.mix].map(({ rack }) => rack);
  const needed = racks.filter(needsMatch);
  return needed.every(({ matchGainDb }) => matchGainDb !== null) && (needed.length === 0 || hasOutputGain(document));
}

function hasOutputGain(document: SessionDocument): boolean {
  return document.mix.outputMatchDb !== null;
}

/** A copy of the document with the gains that an analysis found; null where there was nothing to match. */
export function withMatches(
  document: SessionDocument,
  result: Pick<SessionMatches, 'matchesB' | 'outputMatch'>,
): SessionDocument {
  const matched = (id: string, rack: Rack): Rack => ({ ...rack, matchGainDb: gainOf(result.matchesB[id]) });
  return {
    ...document,
    channels: document.channels.map((channel) => ({ ...channel, rack: matched(channel.id, channel.rack) })),
    buses: document.buses.map((bus) => ({ ...bus, rack: matched(bus.id, bus.rack) })),
    mix: { rack: matched(MIX_ID, document.mix.rack), outputMatchDb: gainOf(result.outputMatch) },
  };
}

function gainOf(match: MatchFigures | null | undefined): number | null {
  return match?.gainDb ?? null;
}
