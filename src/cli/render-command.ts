import { basename, extname, join } from 'node:path';
import { clamp } from '../dsp/units.ts';
import type { ExportBits, ExportFormat, ExportOvers } from '../export/export-options.ts';
import type { FaderPoint } from '../render/tap-stream.ts';
import { cancellable } from './cancel.ts';
import { CliError, UsageError } from './cli-error.ts';
import type { CliCommand } from './help.ts';
import { repeatedOption } from './help.ts';
import { print, warn } from './output.ts';
import { runTasks } from './parallel.ts';
import { Progress } from './progress.ts';
import { renderFile } from './render-file.ts';
import { sessionJob, withAlignment } from './render-job.ts';
import type { Report } from './render-report.ts';
import { renderSessionInto } from './render-session.ts';
import { renderSheet } from './render-sheet.ts';
import { parseStage } from './stage-argument.ts';
import { stagesSheet } from './stages-command.ts';

const MOST_STAGES = 8;
/** What the process ends with where everything was written, but clean and coloured are more than 0.1 LU apart. */
const NOT_MATCHED = 3;

export const renderCommand: CliCommand = {
  name: 'render',
  about: 'Writes the clean and the coloured side at the same loudness, stems where asked for, and report.json.',
  forms: [
    'render --input FILE… [--stage KIND:parameter=value,…]… --out DIR [options]',
    'render SESSION.json|.zip --out DIR [--stems [--fader before|after]] [options]',
  ],
  args: {
    input: {
      type: 'string',
      valueHint: 'FILE',
      description:
        'Mono or stereo WAV or FLAC, rendered at its own rate. Several are rendered side by side, each into a folder of its name.',
    },
    stage: {
      type: 'string',
      valueHint: 'KIND:…',
      description: 'A stage of the rack, in order; up to 8. Without any, the rack is empty.',
    },
    out: { type: 'string', valueHint: 'DIR', description: 'Folder for the files; it is made if need be.' },
    stems: {
      type: 'boolean',
      description: 'Of a session: prints of every channel and every bus, in folders of their own.',
    },
    fader: {
      type: 'string',
      valueHint: 'before|after',
      description:
        'Of --stems: before it, so that prints drop back in under faders that stay; or after it. Default: before.',
    },
    format: { type: 'string', valueHint: 'wav|flac', description: 'Default: wav.' },
    oversampling: {
      type: 'string',
      valueHint: '4|8',
      description: 'Of every rack. Default: 4, or what the session says.',
    },
    bits: {
      type: 'string',
      valueHint: '16|24|float',
      description: '16 is dithered (TPDF), float has 32 bits and is for WAV only. Default: 24.',
    },
    overs: {
      type: 'string',
      valueHint: 'lower|limit',
      description:
        'Of mixes that pass full scale in whole numbers: both lowered together, so that they stay matched, or each limited. Default: lower.',
    },
    tail: {
      type: 'string',
      valueHint: 'on|off',
      description: 'Of a session: lets what filters still hold ring out behind the longest sound. Default: on.',
    },
    alignment: {
      type: 'string',
      valueHint: 'dBFS',
      description: 'Operating level, −30 to −6. Default: −18, or what the session says.',
    },
    json: { type: 'boolean', description: 'Prints what report.json holds instead of the sheet; of several a list.' },
  },
  more: () =>
    [
      'All files of a render are equally long and aligned to the sample with what they were made from.',
      'A file keeps its length. A session has that of its longest sound and of the tail behind it, in whole tenths of a second.',
      'A session is rendered with the match gains it stores, without what is muted. Its sound files are in its ZIP, or lie',
      'beside its JSON or in a folder "audio".',
      'Before the fader a print holds rack and match only: mono stays mono, and gain, balance and bus are as they stand in',
      'your host. After it gain and balance are in it, and it is stereo. A channel keeps the name of its file; of two alike',
      'the second gets a number.',
      'A bus or mix with colour does not distribute over stems: they add up to what goes into it.',
      'Where everything was written but clean and coloured are not matched within 0.1 LU, the exit code is 3.',
      '',
      'Stages and their parameters:',
      '',
      stagesSheet(),
    ].join('\n'),
  async run({ args, rawArgs }) {
    const out = text(args.out);
    if (out === undefined) throw new UsageError('Say where the files go: --out DIR.');
    // 32f is how it was written before; scripts may still say so.
    const asked = text(args.bits) ?? '24';
    const chosenBits = choice('bits', asked === '32f' ? 'float' : asked, ['16', '24', 'float']);
    const bits: ExportBits = chosenBits === 'float' ? 'float' : (Number(chosenBits) as 16 | 24);
    const format = choice('format', text(args.format) ?? 'wav', ['wav', 'flac']) as ExportFormat;
    if (format === 'flac' && bits === 'float') {
      throw new CliError('FLAC holds whole numbers only; write --bits 16 or 24, or --format wav.');
    }
    const overs = choice('overs', text(args.overs) ?? 'lower', ['lower', 'limit']) as ExportOvers;
    const oversampling = text(args.oversampling);
    const factor =
      oversampling === undefined ? undefined : (Number(choice('oversampling', oversampling, ['4', '8'])) as 4 | 8);
    if (args.fader !== undefined && !args.stems)
      throw new UsageError('--fader says where stems are taken; write --stems as well.');
    const fader = choice('fader', text(args.fader) ?? 'before', ['before', 'after']) as FaderPoint;
    const tail = choice('tail', text(args.tail) ?? 'on', ['on', 'off']) === 'on';
    const alignmentDbfs = alignment(text(args.alignment));
    const stages = repeatedOption(rawArgs, 'stage');
    const inputs = repeatedOption(rawArgs, 'input');
    const common = { out, bits, overs, format, factor, alignmentDbfs };
    if (inputs.length > 0) {
      if (args.stems) throw new UsageError('A sound file has no stems; leave out --stems, or name a session.');
      const reports = await renderFiles(inputs, args._, stages, common);
      tell(
        reports.map(({ report, out: folder }) => [report, folder]),
        args.json === true,
        inputs.length > 1,
      );
      return;
    }
    const path = sessionPath(args._, stages);
    const job = withAlignment(await sessionJob(path), alignmentDbfs);
    const settings = {
      bits,
      overs,
      format,
      tail,
      stems: args.stems === true,
      fader,
      factor: factor ?? job.document.exportOversampling,
    };
    const report = await cancellable((signal) =>
      renderSessionInto(out, job, path, settings, { signal, progress: new Progress() }),
    );
    tell([[report, out]], args.json === true, false);
  },
};

interface Common {
  readonly out: string;
  readonly bits: ExportBits;
  readonly overs: ExportOvers;
  readonly format: ExportFormat;
  readonly factor: 4 | 8 | undefined;
  readonly alignmentDbfs: number | undefined;
}

async function renderFiles(
  inputs: readonly string[],
  names: readonly string[],
  stageTexts: readonly string[],
  { out, bits, overs, format, factor, alignmentDbfs }: Common,
): Promise<{ report: Report; out: string }[]> {
  if (names.length > 0) {
    throw new UsageError(
      `Give either --input FILE or a session, not both; leave out "${names[0]}" or write it after --input.`,
    );
  }
  if (stageTexts.length > MOST_STAGES)
    throw new CliError(`A rack holds at most ${MOST_STAGES} stages; leave out ${stageTexts.length - MOST_STAGES}.`);
  const stages = stageTexts.map((stage, index) => parseStage(stage, `stage-${index + 1}`));
  const folders = inputs.length === 1 ? [out] : inputs.map((input) => join(out, basename(input, extname(input))));
  const twice = folders.find((folder, index) => folders.indexOf(folder) !== index);
  if (twice) throw new CliError(`Two inputs would both be written to ${twice}; rename one or render it by itself.`);
  const renders = inputs.map((input, index) => ({
    input,
    out: folders[index],
    stages,
    alignmentDbfs,
    factor,
    settings: { bits, overs, format },
  }));
  const reports =
    renders.length === 1
      ? [await renderFile(renders[0], new Progress())]
      : await runTasks(
          renders.map((render) => ({ kind: 'render', render })),
          'Rendering',
        );
  return (reports as Report[]).map((report, index) => ({ report, out: folders[index] }));
}

function tell(reports: readonly (readonly [Report, string])[], json: boolean, several: boolean): void {
  for (const [{ warnings }] of reports) for (const warning of warnings) warn(warning);
  const list = reports.map(([report]) => report);
  if (list.some(({ matched }) => matched === false)) process.exitCode = NOT_MATCHED;
  if (json) print(JSON.stringify(several ? list : list[0], null, 2));
  else print(reports.map(([report, out]) => renderSheet(report, out)).join('\n\n'));
}

function sessionPath(names: readonly string[], stages: readonly string[]): string {
  if (names.length === 0)
    throw new UsageError('Say what to render: --input FILE, or a session: level-best render SESSION.json --out DIR.');
  if (names.length > 1) throw new UsageError(`"render" takes one session at a time; leave out "${names[1]}".`);
  if (stages.length > 0)
    throw new UsageError('A session has racks of its own; leave out --stage, or name a sound file with --input.');
  return names[0];
}

function text(value: unknown): string | undefined {
  return typeof value === 'string' ? value : undefined;
}

function choice(name: string, value: string, choices: readonly string[]): string {
  if (choices.includes(value)) return value;
  throw new CliError(`--${name} must be ${choices.slice(0, -1).join(', ')} or ${choices.at(-1)}; it was ${value}.`);
}

function alignment(value: string | undefined): number | undefined {
  if (value === undefined) return undefined;
  const dbfs = value.trim() === '' ? Number.NaN : Number(value.replace('−', '-'));
  if (clamp(dbfs, -30, -6) === dbfs) return dbfs;
  throw new CliError(`--alignment must be a number from -30 to -6 dBFS; it was ${value}.`);
}
