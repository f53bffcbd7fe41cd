import type { Player } from '../audio/player.ts';
import type { MatchFigures, SessionMatches } from '../measure/figures.ts';
import { listeningGains } from '../measure/figures.ts';
import { rackConfig } from '../render/engine-config.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import { CURRENT, findRack } from '../session/document.ts';

export interface MatchHost {
  readonly document: SessionDocument;
  readonly player: Player;
  /** Changes the document, which is no step of undo. */
  adopt(change: (draft: SessionDocument) => void): void;
  /** The player follows the document. */
  play(): void;
}

/**
 * The one owner of match gains: what the analysis computes comes here, is heard, and is written into the document,
 * which keeps it for exports and the next start. Nothing else sets one.
 */
export class MatchGains {
  constructor(private readonly session: MatchHost) {}

  /** A provisional gain of one rack is heard at once; it is not stored. */
  hear(rackId: RackId, match: MatchFigures): void {
    const { document, player } = this.session;
    const rack = findRack(document, rackId);
    if (!rack) return;
    player.setMatch(rackId, rackConfig({ ...rack, matchGainDb: match.gainDb }, document.matching).match);
  }

  /** The exact ones: those of the racks as they stand go into the document, the player takes the others as well. */
  settle(matches: SessionMatches): void {
    const { player } = this.session;
    player.setGains(listeningGains(matches), matches.addedGain);
    this.session.adopt((draft) => write(draft, matches));
    this.session.play();
  }
}

function write(draft: SessionDocument, { matchesB, outputMatch }: SessionMatches): void {
  if (draft.sides.b !== CURRENT) return;
  for (const [rackId, match] of Object.entries(matchesB)) {
    const rack = findRack(draft, rackId);
    if (rack) rack.matchGainDb = match?.gainDb ?? null;
  }
  draft.mix.outputMatchDb = outputMatch?.gainDb ?? null;
}
