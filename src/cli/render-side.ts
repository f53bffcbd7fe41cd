import { blockEnergies, gatedLoudness } from '../dsp/loudness.ts';
import { measure } from '../dsp/measure.ts';
import { seededRandom } from '../dsp/random.ts';
import { orNull } from '../dsp/units.ts';
import type { AudioData, BroadcastInfo } from '../files/audio-data.ts';
import { readFlac, writeFlac } from '../files/flac.ts';
import { readWav, writeWav } from '../files/wav.ts';
import { figuresOf } from './file-figures.ts';
import type { ReportSide } from './render-report.ts';

/** One side as a file, and what that file measures. */
export interface WrittenSide {
  readonly bytes: Uint8Array;
  readonly side: ReportSide;
  /** BS.1770-5 loudness over the match region. */
  readonly regionLufs: number | null;
}

export interface SideOptions {
  readonly file: string;
  readonly format: 'wav' | 'flac';
  readonly bits: 16 | 24 | '32f';
  readonly sampleRate: number;
  /** Frames of the match region. */
  readonly region: readonly [number, number];
  readonly bext?: BroadcastInfo;
  /** A line for the coding history of a broadcast extension. */
  readonly history: string;
}

/** The same dither on both sides, so that where they are alike their files are alike. */
const DITHER_SEED = 1770;

/** Makes the file and measures what is in it, after dither and rounding. A FLAC has no broadcast extension. */
export async function writeSide(planes: readonly Float32Array[], options: SideOptions): Promise<WrittenSide> {
  const { file, format, bits, sampleRate, region, bext, history } = options;
  let overs = 0;
  const encode = async (info: BroadcastInfo | undefined) => {
    const audio: AudioData = { channels: [...planes], sampleRate, ...(info ? { bext: info } : {}) };
    const dither = seededRandom(DITHER_SEED);
    const onOvers = (count: number) => {
      overs = count;
    };
    if (format === 'flac' && bits !== '32f') return writeFlac(audio, { bits, dither, onOvers });
    return writeWav(audio, { bits, dither, onOvers });
  };
  const described = bext && { ...bext, codingHistory: `${bext.codingHistory ?? ''}${history}\r\n` };
  let bytes = await encode(described);
  const { channels } = format === 'flac' ? await readFlac(bytes) : readWav(bytes);
  const measured = measure(channels, sampleRate);
  if (described?.loudness) {
    // The loudness that the source states isn't this file's any more.
    const stated = {
      integrated: measured.integratedLufs ?? undefined,
      range: measured.loudnessRangeLu ?? undefined,
      truePeak: measured.truePeakDbtp ?? undefined,
      momentary: measured.maxMomentaryLufs ?? undefined,
      shortTerm: measured.maxShortTermLufs ?? undefined,
    };
    bytes = await encode({ ...described, loudness: stated });
  }
  // A float file holds what lies above full scale; it is counted all the same, since the next converter won't.
  if (bits === '32f') overs = channels.reduce((sum, plane) => sum + countOvers(plane), 0);
  return {
    bytes,
    side: { file, overs, ...figuresOf(measured) },
    regionLufs: regionLoudness(channels, region, sampleRate),
  };
}

/** BS.1770-5 loudness over some frames. */
export function regionLoudness(
  channels: readonly Float32Array[],
  [from, to]: readonly [number, number],
  sampleRate: number,
): number | null {
  const inRegion = channels.map((plane) => plane.subarray(from, to));
  return orNull(gatedLoudness(blockEnergies(inRegion, sampleRate)));
}

function countOvers(plane: Float32Array): number {
  let count = 0;
  for (let i = 0; i < plane.length; i++) if (Math.abs(plane[i]) > 1) count++;
  return count;
}
