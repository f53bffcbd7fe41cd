import type { RenderJob } from './render-job.ts';

/** Gains that were stored for another operating level are no longer those of this one. */
export function withAlignment(job: RenderJob, alignmentDbfs: number | undefined): RenderJob {
  const { document } = job;
  if (alignmentDbfs === undefined || alignmentDbfs === document.alignmentDbfs) return job;
  return { ...job, document: { ...document, alignmentDbfs, mix: { ...document.mix, outputMatchDb: null } } };
}
