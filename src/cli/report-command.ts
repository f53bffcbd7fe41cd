import { join } from 'node:path';
import { trialSummaries } from '../blind/trial-summary.ts';
import { buildReport } from '../export/report/build-report.ts';
import { reportHtml } from '../export/report/report-html.ts';
import { reportMarkdown } from '../export/report/report-markdown.ts';
import type { SessionReport } from '../export/report/report-model.ts';
import { runSteps } from '../render/run-steps.ts';
import { cancellable } from './cancel.ts';
import { CliError, UsageError } from './cli-error.ts';
import type { CliCommand } from './help.ts';
import { print, warn } from './output.ts';
import { Progress } from './progress.ts';
import { sessionJob } from './render-job.ts';
import { version } from './version.ts';
import { OutputFolder } from './write-output.ts';

const WRITERS: Readonly<Record<string, (report: SessionReport) => string>> = {
  html: reportHtml,
  md: reportMarkdown,
  json: (report) => `${JSON.stringify(report, null, 2)}\n`,
};

export const reportCommand: CliCommand = {
  name: 'report',
  about: 'Describes a session: signal path, every setting, both sides measured, match, notes and plots.',
  forms: ['report SESSION.json|.zip --out DIR [--format html|md|json|all]'],
  args: {
    out: { type: 'string', valueHint: 'DIR', description: 'Folder for the report; it is made if need be.' },
    format: { type: 'string', valueHint: 'html|md|json|all', description: 'report.html, .md or .json. Default: all.' },
    oversampling: { type: 'string', valueHint: '4|8', description: 'Default: what the session says for its export.' },
    json: { type: 'boolean', description: 'Prints the report as JSON too.' },
  },
  more: () =>
    [
      'The page needs nothing beside it and prints on A4: the session at a glance, then only what is set. report.json here is the report of "report", told by its "format";',
      'the one that "render" writes has other keys, so give each a folder of its own.',
      'JSON keys:',
      '  format, version, program, createdAt, session, statements, sides, mix, racks, scenes, trials, exported',
    ].join('\n'),
  async run({ args }) {
    const { out, format = 'all', oversampling } = args as { out?: string; format?: string; oversampling?: string };
    if (out === undefined) throw new UsageError('Say where the report goes: --out DIR.');
    if (args._.length !== 1) throw new UsageError('Name one session: level-best report SESSION.json --out DIR');
    if (format !== 'all' && !(format in WRITERS)) {
      throw new CliError(`--format must be html, md, json or all; it was ${format}.`);
    }
    if (oversampling !== undefined && oversampling !== '4' && oversampling !== '8') {
      throw new CliError(`--oversampling must be 4 or 8; it was ${oversampling}.`);
    }
    const [path] = args._;
    const job = await sessionJob(path);
    job.warnings.forEach(warn);
    const names = format === 'all' ? Object.keys(WRITERS) : [format];
    const report = await cancellable((signal) => build(job, oversampling, signal));
    if (!report) throw new CliError(`${path}: There is no sound in its match region; choose another in Level Best.`);
    const folder = new OutputFolder(
      out,
      names.map((name) => `report.${name}`),
      job.read,
    );
    try {
      for (const name of names) folder.write(`report.${name}`, WRITERS[name](report));
      folder.complete();
    } catch (error) {
      folder.abandon();
      throw error;
    }
    if (args.json) print(JSON.stringify(report, null, 2));
    else print(`Written: ${names.map((name) => join(out, `report.${name}`)).join(', ')}`);
  },
};

async function build(
  { document, sources }: Awaited<ReturnType<typeof sessionJob>>,
  oversampling: string | undefined,
  signal: AbortSignal,
): Promise<SessionReport | null> {
  const progress = new Progress();
  try {
    const steps = buildReport({
      document,
      sources,
      factor: oversampling === undefined ? document.exportOversampling : (Number(oversampling) as 4 | 8),
      program: `Level Best ${version}`,
      now: new Date(),
      trials: trialSummaries(document.trials),
      onProgress: (share) => progress.show('Measuring', share),
    });
    return await runSteps(steps, signal);
  } finally {
    progress.end();
  }
}
