import { AudioFileError } from './audio-file-error.ts';

/** How samples are kept in a file: whole numbers of so many bits, or IEEE floats of 32 or 64 bits. */
type SampleFormat = 8 | 16 | 24 | 32 | 'float' | 'double';

/** Random numbers, uniform from 0 to below 1; seeded, so that a file can be made again. */
export type Random = () => number;

/** A broadcast extension's loudness fields (EBU Tech 3285 v2), in the units named. Absent fields are not stated. */
export interface BroadcastLoudness {
  /** Integrated loudness, LUFS. */
  integrated?: number;
  /** Loudness range, LU. */
  range?: number;
  /** Maximum true peak, dBTP. */
  truePeak?: number;
  /** Maximum momentary loudness, LUFS. */
  momentary?: number;
  /** Maximum short-term loudness, LUFS. */
  shortTerm?: number;
}

/** The broadcast extension ('bext') of a WAV: where the sound belongs in its session, and who wrote it. */
export interface BroadcastInfo {
  /** Free text, up to 256 ASCII characters. */
  description?: string;
  /** Program or person, up to 32 ASCII characters. */
  originator?: string;
  /** Unambiguous reference, up to 32 ASCII characters. */
  originatorReference?: string;
  /** YYYY-MM-DD. */
  date?: string;
  /** HH:MM:SS. */
  time?: string;
  /** First sample's place on the session's time line, in samples since midnight. */
  timeReference?: number;
  loudness?: BroadcastLoudness;
  /** One line for each step of processing, with its line end. */
  codingHistory?: string;
}

/** Sound in memory. Full scale is ±1. */
export interface AudioData {
  /** One array a channel, all of the same length. */
  channels: Float32Array[];
  /** Samples a second. */
  sampleRate: number;
  /** How the file kept its samples. */
  bits?: SampleFormat;
  /** Loudspeaker positions as WAVE_FORMAT_EXTENSIBLE's dwChannelMask states them; 0 or absent: not stated. */
  channelMask?: number;
  /** How many samples were not numbers (NaN or infinite) and were read as 0; absent if none. */
  notNumbers?: number;
  bext?: BroadcastInfo;
}

/** Rates that any recording has; outside it a header is broken. */
const MIN_SAMPLE_RATE = 1000;
const MAX_SAMPLE_RATE = 768_000;
/** As many as a polyphonic field recording; callers decide how many they can use. */
const MAX_CHANNELS = 64;

/** Throws AudioFileError unless the shape is one that real sound has. */
export function checkShape(channels: number, sampleRate: number): void {
  if (!(channels >= 1 && channels <= MAX_CHANNELS)) {
    throw new AudioFileError(`It states ${channels} channels; export it again with 1 to ${MAX_CHANNELS}.`);
  }
  if (!(sampleRate >= MIN_SAMPLE_RATE && sampleRate <= MAX_SAMPLE_RATE)) {
    throw new AudioFileError(
      `It states a sample rate of ${sampleRate} Hz, which can't be right; export it again at 44.1 kHz or above.`,
    );
  }
}

/** Frames of audio that is to be written; throws AudioFileError if there is none or the channels differ in length. */
export function framesToWrite(audio: AudioData): number {
  checkShape(audio.channels.length, audio.sampleRate);
  const frames = audio.channels[0].length;
  if (audio.channels.some((channel) => channel.length !== frames)) {
    throw new AudioFileError('The channels differ in length; make them equally long before they are written.');
  }
  if (frames === 0) throw new AudioFileError('There is no sound to write; choose a longer stretch.');
  return frames;
}

/** The last whole lines of a coding history that have room in so many characters. */
export function newestLines(history: string, most: number): string {
  let kept = history;
  while (kept.length > most) {
    const end = kept.indexOf('\n');
    kept = end < 0 ? '' : kept.slice(end + 1);
  }
  return kept;
}
