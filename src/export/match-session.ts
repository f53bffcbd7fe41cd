/** The gains a session is exported with: those that it stores, or where one is missing, all computed anew. */

import type { SessionResult } from '../measure/figures.ts';
import { SessionAnalysis } from '../measure/session-analysis.ts';
import type { Planes } from '../render/rack-renderer.ts';
import { runSteps } from '../render/run-steps.ts';
import type { SessionDocument } from '../session/document.ts';
import type { ExportSides } from './export-document.ts';
import { analysisSides, areMatched, exportSides, matchedSides } from './export-document.ts';

export interface SoundSession {
  readonly document: SessionDocument;
  /** Each channel's sound at the session's rate, by its id. */
  readonly sources: ReadonlyMap<string, Planes>;
}

export interface MatchedSession {
  readonly sides: ExportSides;
  readonly source: 'computed' | 'stored';
  /** Figures of everything, where they were asked for and an analysis was needed. */
  readonly result: SessionResult | null;
  /** Frames of the match region. */
  readonly region: readonly [number, number];
}

export interface MatchOptions {
  readonly factor: 4 | 8;
  /** Figures of everything as well, unless all gains are stored; that takes longer. */
  readonly figures?: boolean;
  readonly signal?: AbortSignal;
  readonly onProgress?: (share: number) => void;
}

/** True where an export must compute gains first: it is matched, and not all of them are stored. */
export function needsGains({ matching }: SessionDocument, sides: ExportSides): boolean {
  return matching && !areMatched(sides);
}

/** @throws the signal's reason where it is aborted */
export async function matchSession(
  { document, sources }: SoundSession,
  { factor, figures = false, signal, onProgress }: MatchOptions,
): Promise<MatchedSession> {
  const sides = exportSides(document);
  const { sampleRate, alignmentDbfs } = document;
  const analysis = new SessionAnalysis(sampleRate, alignmentDbfs, factor);
  for (const { id } of sides.b.channels) analysis.setSource(id, sources.get(id) ?? null);
  const region = analysis.region(sides.b);
  // Where no rack needs a gain none is stored, and none is missing; its figures are still to be found.
  const hasGain = sides.b.mix.outputMatchDb !== null;
  const isStored = document.matching && areMatched(sides) && (hasGain || !figures);
  if (isStored || !(figures || needsGains(document, sides))) {
    return { sides, source: isStored ? 'stored' : 'computed', result: null, region };
  }
  const racks = analysisSides(sides);
  const result = figures ? await runSteps(analysis.analyse(sides.b, onProgress, racks), signal) : null;
  const gains = figures ? result : await runSteps(analysis.matches(sides.b, onProgress, racks), signal);
  return { sides: gains ? matchedSides(sides, gains) : sides, source: 'computed', result, region };
}
