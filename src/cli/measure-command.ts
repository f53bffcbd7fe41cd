import { basename } from 'node:path';
import type { Measurement } from '../dsp/measure.ts';
import { measure } from '../dsp/measure.ts';
import { channelWeightsByMask } from './channel-weights.ts';
import { CliError, UsageError } from './cli-error.ts';
import type { Command } from './help.ts';
import { print, warn } from './output.ts';
import { notNumbersWarning, readSound } from './read-sound.ts';
import { channelsText, durationText, figure, rateText, table } from './sheet.ts';

/** The figures in the order of the JSON, with the words and units of the sheet. The keys are a promise. */
const FIGURES = [
  ['integratedLufs', 'Loudness, integrated', 'LUFS', 1],
  ['maxShortTermLufs', 'short-term, highest', 'LUFS', 1],
  ['maxMomentaryLufs', 'momentary, highest', 'LUFS', 1],
  ['loudnessRangeLu', 'range', 'LU', 1],
  ['truePeakDbtp', 'Peak, true', 'dBTP', 1],
  ['samplePeakDbfs', 'of the samples', 'dBFS', 1],
  ['rmsDbfs', 'RMS (AES17)', 'dBFS', 1],
  ['crestDb', 'Crest factor', 'dB', 1],
  ['plrDb', 'Peak to loudness', 'dB', 1],
  ['dcDbfs', 'DC', 'dBFS', 1],
] as const;

export type FigureKey = (typeof FIGURES)[number][0];
export type FileFigures = Pick<Measurement, FigureKey | 'sampleRate' | 'channels' | 'seconds'>;

/** Exactly the documented keys, in their order. */
export function figuresOf(measured: Measurement): FileFigures {
  const { sampleRate, channels, seconds } = measured;
  const figures = Object.fromEntries(FIGURES.map(([key]) => [key, measured[key]])) as Pick<Measurement, FigureKey>;
  return { ...figures, sampleRate, channels, seconds };
}

/** The figures of one file, for people. */
export function figuresSheet(title: string, { sampleRate, channels, seconds, ...figures }: FileFigures): string {
  const rows = FIGURES.map(([key, label, unit, digits]) => {
    const indented = /^[a-z]/.test(label) ? `  ${label}` : label;
    return [`  ${indented}`, figure(figures[key], digits), unit];
  });
  return `${title}\n  ${rateText(sampleRate)}, ${channelsText(channels)}, ${durationText(seconds)}\n${table(rows, 1)}`;
}

export const measureCommand: Command = {
  name: 'measure',
  about: 'Loudness, peaks and levels of sound files.',
  forms: ['measure FILE… [--json]'],
  args: { json: { type: 'boolean', description: 'One object, or a list of them in the order of the files.' } },
  more: () =>
    [
      'Reads WAV (16, 24, 32 bit float) and FLAC with up to six channels. Mono counts as played on both sides.',
      'JSON keys, null where a figure is not defined:',
      `  ${[...FIGURES.map(([key]) => key), 'sampleRate', 'channels', 'seconds'].join(', ')}`,
    ].join('\n'),
  async run({ args }) {
    if (args._.length === 0) throw new UsageError('Name the files to measure: level-best measure FILE…');
    const all: { path: string; figures: FileFigures }[] = [];
    for (const path of args._) all.push({ path, figures: await measureFile(path) });
    if (args.json)
      print(JSON.stringify(all.length === 1 ? all[0].figures : all.map(({ figures }) => figures), null, 2));
    else print(all.map(({ path, figures }) => figuresSheet(basename(path), figures)).join('\n\n'));
  },
};

async function measureFile(path: string): Promise<FileFigures> {
  const { audio } = await readSound(path);
  notNumbersWarning(path, audio.notNumbers).forEach(warn);
  try {
    const weights = channelWeightsByMask(audio.channels.length, audio.channelMask);
    return figuresOf(measure(audio.channels, audio.sampleRate, { weights }));
  } catch (error) {
    if (error instanceof CliError) throw new CliError(`${path}: ${error.message}`);
    if (error instanceof RangeError) {
      throw new CliError(`${path}: It can't be measured at ${audio.sampleRate} Hz; export it at 8 kHz or above.`);
    }
    throw error;
  }
}
