import { clamp } from '../dsp/units.ts';
import { CliError, UsageError } from './cli-error.ts';
import type { Command } from './help.ts';
import { repeatedOption } from './help.ts';
import { print, warn } from './output.ts';
import type { RenderJob } from './render-job.ts';
import { fileJob, sessionJob } from './render-job.ts';
import { matchAndRender } from './render-match.ts';
import type { Report } from './render-report.ts';
import { makeReport } from './render-report.ts';
import { renderSheet } from './render-sheet.ts';
import { writeSide } from './render-side.ts';
import { idleSettings, parseStage } from './stage-argument.ts';
import { stagesSheet } from './stages-command.ts';
import { OutputFolder } from './write-output.ts';

const MOST_STAGES = 8;
const FILES = ['clean.wav', 'coloured.wav', 'report.json'] as const;

export const renderCommand: Command = {
  name: 'render',
  about: 'Writes clean.wav, coloured.wav at the same loudness, and report.json.',
  forms: [
    'render --input FILE [--stage KIND:parameter=value,…]… --out DIR [options]',
    'render SESSION.json --out DIR [options]',
  ],
  args: {
    input: { type: 'string', valueHint: 'FILE', description: 'Mono or stereo WAV or FLAC, rendered at its own rate.' },
    stage: {
      type: 'string',
      valueHint: 'KIND:…',
      description: 'A stage of the rack, in order; up to 8. Without any, the rack is empty.',
    },
    out: { type: 'string', valueHint: 'DIR', description: 'Folder for the three files; it is made if need be.' },
    oversampling: {
      type: 'string',
      valueHint: '4|8',
      description: 'Of every rack. Default: 4, or what the session says.',
    },
    bits: { type: 'string', valueHint: '16|24|32f', description: '16 is dithered (TPDF), 32f is float. Default: 24.' },
    alignment: {
      type: 'string',
      valueHint: 'dBFS',
      description: 'Operating level, −30 to −6. Default: −18, or what the session says.',
    },
    json: { type: 'boolean', description: 'Prints what report.json holds instead of the sheet.' },
  },
  more: () =>
    [
      'Both files have the length of the input (of a session: of its longest channel) and are aligned to the sample.',
      'A session is rendered with the match gains it stores; its sound files lie beside it or in a folder "audio".',
      '',
      'Stages and their parameters:',
      '',
      stagesSheet(),
    ].join('\n'),
  async run({ args, rawArgs }) {
    const out = text(args.out);
    if (out === undefined) throw new UsageError('Say where the files go: --out DIR.');
    const bits = choice('bits', text(args.bits) ?? '24', ['16', '24', '32f']);
    const oversampling = text(args.oversampling);
    const chosen = oversampling === undefined ? undefined : Number(choice('oversampling', oversampling, ['4', '8']));
    const alignmentDbfs = alignment(text(args.alignment));
    const job = withAlignment(await findJob(text(args.input), args._, repeatedOption(rawArgs, 'stage')), alignmentDbfs);
    const factor = (chosen ?? job.document.exportOversampling) as 4 | 8;
    const report = renderInto(
      out,
      job,
      text(args.input) ?? args._[0],
      bits === '32f' ? '32f' : (Number(bits) as 16 | 24),
      factor,
    );
    for (const warning of report.warnings) warn(warning);
    print(args.json ? JSON.stringify(report, null, 2) : renderSheet(report, out));
  },
};

async function findJob(
  input: string | undefined,
  names: readonly string[],
  stages: readonly string[],
): Promise<RenderJob> {
  if (input !== undefined) {
    if (names.length > 0) {
      throw new UsageError(
        `Give either --input FILE or a session, not both; leave out "${names[0]}" or write it after --input.`,
      );
    }
    if (stages.length > MOST_STAGES)
      throw new CliError(`A rack holds at most ${MOST_STAGES} stages; leave out ${stages.length - MOST_STAGES}.`);
    return fileJob(
      input,
      stages.map((stage, index) => parseStage(stage, `stage-${index + 1}`)),
    );
  }
  if (names.length === 0)
    throw new UsageError('Say what to render: --input FILE, or a session: level-best render SESSION.json --out DIR.');
  if (names.length > 1) throw new UsageError(`"render" takes one session at a time; leave out "${names[1]}".`);
  if (stages.length > 0)
    throw new UsageError('A session has racks of its own; leave out --stage, or name a sound file with --input.');
  return sessionJob(names[0]);
}

/** Gains that were stored for another operating level are no longer those of this one. */
function withAlignment(job: RenderJob, alignmentDbfs: number | undefined): RenderJob {
  const { document } = job;
  if (alignmentDbfs === undefined || alignmentDbfs === document.alignmentDbfs) return job;
  return { ...job, document: { ...document, alignmentDbfs, mix: { ...document.mix, outputMatchDb: null } } };
}

function renderInto(out: string, job: RenderJob, input: string, bits: 16 | 24 | '32f', factor: 4 | 8): Report {
  const folder = new OutputFolder(out, FILES, job.read);
  try {
    const render = matchAndRender(job, factor);
    const { document, sides, region } = render;
    const { sampleRate } = document;
    const [clean, coloured] = (['clean', 'coloured'] as const).map((name) => {
      const file = `${name}.wav`;
      const words = bits === '32f' ? 'W=32' : `W=${bits}`;
      const history = `A=PCM,F=${sampleRate},${words},M=${job.channels === 1 ? 'mono' : 'stereo'},T=Level Best ${name}`;
      const written = writeSide(sides[name].slice(0, job.channels), {
        file,
        bits,
        sampleRate,
        region,
        bext: job.bext,
        history,
      });
      folder.write(file, written.bytes);
      return { side: written.side, regionLufs: written.regionLufs };
    });
    const before = clean.regionLufs;
    const after = coloured.regionLufs;
    const residualLu = before === null || after === null ? null : after - before;
    const racks = [...document.channels, ...document.buses].map(({ name, rack }) => ({ name: `"${name}"`, rack }));
    const warnings = [
      ...job.warnings,
      ...[...racks, { name: 'Mix', rack: document.mix.rack }].flatMap(({ name, rack }) => idleSettings(rack, name)),
      ...[clean.side, coloured.side].flatMap((side) => overWarning(side.file, side.overs, bits)),
      ...(document.matching && document.mix.outputMatchDb === null
        ? [
            'The match region holds no sound above −70 LUFS for 0.4 s, so there is nothing to match: both sides are as they come.',
          ]
        : []),
    ];
    const report = makeReport({
      job,
      render,
      input,
      bits,
      factor,
      residualLu,
      clean: clean.side,
      coloured: coloured.side,
      warnings,
    });
    folder.write('report.json', `${JSON.stringify(report, null, 2)}\n`);
    folder.complete();
    return report;
  } catch (error) {
    folder.abandon();
    throw error;
  }
}

function overWarning(file: string, overs: number, bits: 16 | 24 | '32f'): string[] {
  if (overs === 0) return [];
  const samples = overs === 1 ? '1 sample lies' : `${overs} samples lie`;
  const fate = bits === '32f' ? 'they are kept as they are' : 'they were limited';
  return [`${file}: ${samples} above full scale, and ${fate}; lower the input or write --bits 32f.`];
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
