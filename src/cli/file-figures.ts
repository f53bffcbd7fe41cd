/** What is measured of a file, and under which names. */
import type { Measurement } from '../dsp/measure.ts';
import { measure } from '../dsp/measure.ts';
import { channelWeightsByMask } from './channel-weights.ts';
import { CliError } from './cli-error.ts';
import { notNumbersWarning, readSound } from './read-sound.ts';

/** The figures in the order of the JSON, with the words of the sheet. The keys are a promise. */
export const FIGURES = [
  ['integratedLufs', 'Loudness, integrated'],
  ['maxShortTermLufs', 'short-term, highest'],
  ['maxMomentaryLufs', 'momentary, highest'],
  ['loudnessRangeLu', 'range'],
  ['truePeakDbtp', 'Peak, true'],
  ['samplePeakDbfs', 'of the samples'],
  ['rmsDbfs', 'RMS (AES17)'],
  ['crestDb', 'Crest factor'],
  ['plrDb', 'Peak to loudness'],
  ['dcDbfs', 'DC'],
] as const;

export type FigureKey = (typeof FIGURES)[number][0];
export type FileFigures = Pick<Measurement, FigureKey | 'sampleRate' | 'channels' | 'seconds'>;

/** Exactly the documented keys, in their order. */
export function figuresOf(measured: Measurement): FileFigures {
  const { sampleRate, channels, seconds } = measured;
  const figures = Object.fromEntries(FIGURES.map(([key]) => [key, measured[key]])) as Pick<Measurement, FigureKey>;
  return { ...figures, sampleRate, channels, seconds };
}

export interface MeasuredFile {
  readonly figures: FileFigures;
  readonly warnings: readonly string[];
}

/** @throws CliError that names the file */
export async function measureFile(path: string): Promise<MeasuredFile> {
  const { audio } = await readSound(path);
  try {
    const weights = channelWeightsByMask(audio.channels.length, audio.channelMask);
    const figures = figuresOf(measure(audio.channels, audio.sampleRate, { weights }));
    return { figures, warnings: notNumbersWarning(path, audio.notNumbers) };
  } catch (error) {
    if (error instanceof CliError) throw new CliError(`${path}: ${error.message}`);
    if (error instanceof RangeError) {
      throw new CliError(`${path}: It can't be measured at ${audio.sampleRate} Hz; export it at 8 kHz or above.`);
    }
    throw error;
  }
}
