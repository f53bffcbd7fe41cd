/** Match and render of a job, with the figures of the match. */
import { isMatched, withMatches } from '../analysis/document-match.ts';
import { finish } from '../analysis/rack-renderer.ts';
import type { RenderedSides } from '../analysis/render.ts';
import { renderSession } from '../analysis/render.ts';
import type { SessionResult } from '../analysis/session-analysis.ts';
import { SessionAnalysis } from '../analysis/session-analysis.ts';
import type { SessionDocument } from '../session/document.ts';
import type { RenderJob } from './render-job.ts';

export interface MatchedRender {
  /** With the gains that were used. */
  readonly document: SessionDocument;
  readonly sides: RenderedSides;
  /** Where the gains come from. */
  readonly source: 'computed' | 'stored';
  /** The analysis, where one was needed. */
  readonly result: SessionResult | null;
  /** Frames of the match region. */
  readonly region: readonly [number, number];
}

/** Renders with the gains that the session stores; where one is missing, all of them are computed anew. */
export function matchAndRender(job: RenderJob, factor: 4 | 8): MatchedRender {
  const { document, sources } = job;
  const analysis = new SessionAnalysis(document.sampleRate, document.alignmentDbfs, factor);
  for (const [id, planes] of sources) analysis.setSource(id, planes);
  const region = analysis.region(document);
  const stored = job.kind === 'session' && document.matching && isMatched(document);
  const result = stored ? null : finish(analysis.analyse(document));
  const matched = result ? withMatches(document, result) : document;
  return {
    document: matched,
    sides: finish(renderSession(matched, sources, { factor })),
    source: stored ? 'stored' : 'computed',
    result,
    region,
  };
}
