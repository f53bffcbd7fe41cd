import { basename } from 'node:path';
import { RANGE_MEANT_SECONDS } from '../dsp/loudness-offline.ts';
import { unitOf } from '../dsp/units.ts';
import { UsageError } from './cli-error.ts';
import type { FileFigures, MeasuredFile } from './file-figures.ts';
import { FIGURES } from './file-figures.ts';
import type { CliCommand } from './help.ts';
import { print, warn } from './output.ts';
import { runTasks } from './parallel.ts';
import { channelsText, durationText, figure, rateText, table } from './sheet.ts';

const RANGE_NOTE = 'shorter than a minute, which it is not meant for';

/** The figures of one file, for people. */
export function figuresSheet(title: string, { sampleRate, channels, seconds, ...figures }: FileFigures): string {
  const rows = FIGURES.map(([key, label]) => {
    const unit = unitOf(key);
    const indented = /^[a-z]/.test(label) ? `  ${label}` : label;
    const isShort = key === 'loudnessRangeLu' && figures[key] !== null && seconds < RANGE_MEANT_SECONDS;
    return [`  ${indented}`, figure(figures[key], 1), isShort ? `${unit} (${RANGE_NOTE})` : unit];
  });
  return `${title}\n  ${rateText(sampleRate)}, ${channelsText(channels)}, ${durationText(seconds)}\n${table(rows, 1)}`;
}

export const measureCommand: CliCommand = {
  name: 'measure',
  about: 'Loudness, peaks and levels of sound files, several side by side.',
  forms: ['measure FILE… [--json]'],
  args: { json: { type: 'boolean', description: 'One object, or a list of them in the order of the files.' } },
  more: () =>
    [
      'Reads WAV (16, 24, 32 bit float) and FLAC with up to six channels. Mono counts as played on both sides.',
      'The loudness range is not meant for less than a minute, and is not defined below 3 s.',
      'JSON keys, null where a figure is not defined:',
      `  ${[...FIGURES.map(([key]) => key), 'sampleRate', 'channels', 'seconds'].join(', ')}`,
    ].join('\n'),
  async run({ args }) {
    if (args._.length === 0) throw new UsageError('Name the files to measure: level-best measure FILE…');
    const measured = await runTasks(
      args._.map((path) => ({ kind: 'measure', path })),
      'Measuring',
    );
    const all = (measured as MeasuredFile[]).map(({ figures, warnings }, index) => {
      warnings.forEach(warn);
      return { path: args._[index], figures };
    });
    if (args.json)
      print(JSON.stringify(all.length === 1 ? all[0].figures : all.map(({ figures }) => figures), null, 2));
    else print(all.map(({ path, figures }) => figuresSheet(basename(path), figures)).join('\n\n'));
  },
};
