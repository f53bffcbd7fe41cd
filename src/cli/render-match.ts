/** Match and render of one file's job, with the figures of the match. */
import { withMatches } from '../measure/document-match.ts';
import type { SessionResult } from '../measure/figures.ts';
import { SessionAnalysis } from '../measure/session-analysis.ts';
import { finish } from '../render/rack-renderer.ts';
import type { RenderedSides } from '../render/session-render.ts';
import { renderSession } from '../render/session-render.ts';
import type { SessionDocument } from '../session/document.ts';
import type { RenderJob } from './render-job.ts';

export interface MatchedRender {
  /** With the gains that were used. */
  readonly document: SessionDocument;
  readonly sides: RenderedSides;
  readonly source: 'computed';
  /** The analysis, where one was needed. */
  readonly result: SessionResult | null;
  /** Frames of the match region. */
  readonly region: readonly [number, number];
}

/** Renders one file's job with gains computed for it. @param onProgress told the share done, 0 to 1 */
export function matchAndRender(
  job: RenderJob,
  factor: 4 | 8,
  onProgress: (share: number) => void = () => {},
): MatchedRender {
  const { document, sources } = job;
  const analysis = new SessionAnalysis(document.sampleRate, document.alignmentDbfs, factor);
  for (const [id, planes] of sources) analysis.setSource(id, planes);
  const region = analysis.region(document);
  // The analysis takes about as long as the render.
  const result = finish(analysis.analyse(document, (share) => onProgress(share / 2)));
  const matched = result ? withMatches(document, result) : document;
  const sides = finish(renderSession(matched, sources, { factor, onProgress: (share) => onProgress(0.5 + share / 2) }));
  return { document: matched, sides, source: 'computed', result, region };
}
