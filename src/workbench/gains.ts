import type { Player } from '../audio/player.ts';
import type { MatchFigures, SessionMatches } from '../measure/figures.ts';
import { listeningGains } from '../measure/listening-gains.ts';
import { rackConfig } from '../render/engine-config.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import { CURRENT, findRack } from '../session/document.ts';

/** A provisional gain of one rack is heard at once; it is not stored. */
export function hearMatch(player: Player, document: SessionDocument, rackId: RackId, match: MatchFigures): void {
  const rack = findRack(document, rackId);
  if (!rack) return;
  player.setMatch(rackId, rackConfig({ ...rack, matchGainDb: match.gainDb }, document.matching).match);
}

/** The player takes the computed gains that the document doesn't hold. */
export function tellPlayer(player: Player, matches: SessionMatches): void {
  player.gains = listeningGains(matches);
  player.setAddedGain(matches.addedGain);
}

/** Writes the computed gains of the racks as they stand now into a draft of the document. */
export function writeGains(draft: SessionDocument, { matchesB, outputMatch }: SessionMatches): void {
  if (draft.sides.b !== CURRENT) return;
  for (const [rackId, match] of Object.entries(matchesB)) {
    const rack = findRack(draft, rackId);
    if (rack) rack.matchGainDb = match?.gainDb ?? null;
  }
  draft.mix.outputMatchDb = outputMatch?.gainDb ?? null;
}
