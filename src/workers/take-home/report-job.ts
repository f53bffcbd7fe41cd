import { buildReport } from '../../export/report/build-report.ts';
import { reportHtml } from '../../export/report/report-html.ts';
import { reportMarkdown } from '../../export/report/report-markdown.ts';
import type { ReportExport } from '../../export/report/report-model.ts';
import { runSteps } from '../../render/run-steps.ts';
import type { ReportJob, ReportTexts } from './protocol.ts';
import type { TakeHomeHost } from './take-home-host.ts';

/** Measures and describes the session; null where there is no sound in the match region. */
export async function reportJob(
  job: ReportJob,
  { sources, progress }: TakeHomeHost,
  shareOf: (share: number) => number = (share) => share,
  pairHeadroomDb = 0,
  exported?: ReportExport,
): Promise<ReportTexts | null> {
  const { document, factor, program, now, trials } = job;
  const onProgress = (share: number) => progress('report', shareOf(share));
  onProgress(0);
  const report = await runSteps(
    buildReport({ document, sources, factor, program, now, trials, pairHeadroomDb, exported, onProgress }),
  );
  if (!report) return null;
  return { html: reportHtml(report), md: reportMarkdown(report), json: `${JSON.stringify(report, null, 2)}\n` };
}
