import type { AnalysisStore } from '../../stores/analysis-store.ts';

/** True while the analysis's figures are of the document as it was before: being measured anew, or that failed. */
export function isStale(analysis: AnalysisStore | undefined): boolean {
  return analysis !== undefined && analysis.status !== 'idle';
}
