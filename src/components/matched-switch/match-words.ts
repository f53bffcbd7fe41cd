import { findRack, MIX_ID, type SessionDocument } from '../../session/document.ts';
import type { AnalysisStore, MatchFigures } from '../../stores/analysis-store.ts';
import type { PlayerStore } from '../../stores/player-store.ts';
import { figure } from '../format/figures.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';

/** Whether both sides are equally loud, in a few words and a few more. */
export interface MatchState {
  /** Something is in the way of an honest comparison. */
  readonly warns: boolean;
  readonly title: string;
  readonly detail: string;
}

/** A trim by hand on the mix, dB: the one that moves the whole session. 0 where it is without effect. */
function mixTrim(document: SessionDocument): number {
  const rack = findRack(document, MIX_ID);
  return document.matching && rack?.on && rack.stages.length > 0 ? rack.matchTrimDb : 0;
}

/** By how much a gain misses what it aims at, in words. */
export function offBy({ residualLu }: MatchFigures): string {
  return `off by ${figure(residualLu, { digits: 2, signed: true })} LU`;
}

/** What is heard of the match at this moment. */
export function matchState(
  document: SessionDocument,
  match: MatchFigures | null,
  player: Pick<PlayerStore, 'guardActing'>,
): MatchState {
  if (!document.matching) return { warns: true, title: 'Not matched', detail: 'louder will sound better' };
  if (player.guardActing) return { warns: true, title: 'Match broken', detail: 'the output guard is acting' };
  if (match && !match.matched) return { warns: true, title: 'Not matched', detail: offBy(match) };
  const trim = mixTrim(document);
  const title = 'Loudness matched';
  if (trim !== 0) {
    const text = figure(trim, { digits: 2, signed: true, unit: 'dB' });
    return { warns: false, title, detail: `trimmed by ${text} on purpose` };
  }
  return { warns: false, title, detail: match ? 'within 0.1 LU' : 'not measured yet' };
}

/** Racks whose match misses its aim, one sentence; null where there are none. */
export function mismatchSentence(
  document: SessionDocument,
  analysis: AnalysisStore,
  ids: readonly string[],
): string | null {
  const racks = ids.map((id) => [rackName(document, id), analysis.rack(id)?.match ?? null] as const);
  const off = [...racks, ['the session', analysis.mixMatch] as const].flatMap(([name, match]) =>
    match && !match.matched ? [`${name} is ${offBy(match)}`] : [],
  );
  return off.length === 0 ? null : `Not matched: ${off.join('; ')}. Lower the drive, or measure another stretch.`;
}
