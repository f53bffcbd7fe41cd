/** The gains a session is exported with: those that it stores, or where one is missing, all computed anew. */
import type { ExportSides } from '../analysis/export/export-document.ts';
import { analysisSides, areMatched, exportSides, matchedSides } from '../analysis/export/export-document.ts';
import { runSteps } from '../analysis/run-steps.ts';
import type { SessionResult } from '../analysis/session-analysis.ts';
import { SessionAnalysis } from '../analysis/session-analysis.ts';
import type { RenderJob } from './render-job.ts';

export interface MatchedSession {
  readonly sides: ExportSides;
  readonly source: 'computed' | 'stored';
  /** The analysis, where one was needed. */
  readonly result: SessionResult | null;
  /** Frames of the match region. */
  readonly region: readonly [number, number];
}

export interface MatchOptions {
  readonly factor: 4 | 8;
  readonly signal?: AbortSignal;
  readonly onProgress?: (share: number) => void;
}

export async function matchSession(job: RenderJob, options: MatchOptions): Promise<MatchedSession> {
  const sides = exportSides(job.document);
  const { sampleRate, alignmentDbfs, matching } = job.document;
  const analysis = new SessionAnalysis(sampleRate, alignmentDbfs, options.factor);
  for (const { id } of sides.b.channels) analysis.setSource(id, job.sources.get(id) ?? null);
  const region = analysis.region(sides.b);
  if (matching && areMatched(sides)) return { sides, source: 'stored', result: null, region };
  const steps = analysis.analyse(sides.b, options.onProgress, analysisSides(sides));
  const result = await runSteps(steps, options.signal);
  return { sides: result ? matchedSides(sides, result) : sides, source: 'computed', result, region };
}
