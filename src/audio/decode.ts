import type { AudioData } from '../files/audio-data.ts';
import { AudioFileError } from '../files/audio-file-error.ts';
import { type SniffedFile, sniff } from '../files/sniff.ts';
import type { SoundShape } from '../files/sound-shape.ts';
import { OfflineAudioContext } from './audio-library.ts';
import { readWavAside } from './read-wav.ts';

/** Longest recording that is taken in, seconds: an hour at the common rates still fits a tab's memory. */
const LONGEST_SECONDS = 3600;

/**
 * Decodes a sound file at its own sample rate. Browsers decode to the rate of the context they are asked through, so the
 * rate is read from the file first. WAV is read here, exactly; all other formats by the browser.
 * @throws AudioFileError with a sentence that says what to do, starting with the file's name
 */
export async function decodeFile(name: string, bytes: Uint8Array<ArrayBuffer>): Promise<AudioData> {
  try {
    // A header that doesn't say its rate is decoded at a common one: the browser resamples then.
    const sniffed = sniff(bytes);
    checkSize(believable(sniffed, bytes.length));
    const { format, sampleRate = 48_000 } = sniffed;
    const audio = await (format === 'wav' ? readWavAside(bytes) : decodeByBrowser(bytes, format, sampleRate));
    const frames = audio.channels[0]?.length ?? 0;
    if (frames === 0) throw new AudioFileError('It has no sound in it. Export it again and try that file.');
    checkSize({ frames, sampleRate: audio.sampleRate, channels: audio.channels.length });
    return audio;
  } catch (fault) {
    throw new AudioFileError(`${name}: ${reason(fault)}`);
  }
}

/**
 * Says from a file's beginning what is wrong with it, before all of it is read and decoded. What the beginning doesn't
 * tell is told by `decodeFile`.
 * @throws AudioFileError as `decodeFile` does
 */
export function checkHead(name: string, head: Uint8Array, fileBytes: number): void {
  let shape: SoundShape;
  try {
    shape = believable(sniff(head), fileBytes);
  } catch {
    return;
  }
  try {
    checkSize(shape);
  } catch (fault) {
    throw new AudioFileError(`${name}: ${reason(fault)}`);
  }
}

/** A WAV that states more frames than it has bytes breaks off, which is said when it is read. */
function believable(sniffed: SniffedFile, fileBytes: number): SoundShape {
  const { format, frames = 0, ...shape } = sniffed;
  return format === 'wav' && frames > fileBytes ? shape : sniffed;
}

/** @throws AudioFileError for sound that is too long or has too many channels */
function checkSize({ frames = 0, sampleRate, channels = 1 }: SoundShape): void {
  const seconds = sampleRate ? frames / sampleRate : 0;
  if (seconds > LONGEST_SECONDS) {
    throw new AudioFileError(
      `It lasts ${inHours(seconds)}, and a channel here holds an hour. Cut it to the part you want to work on.`,
    );
  }
  if (channels > 2) {
    throw new AudioFileError(
      `It has ${channels} channels. A channel here is mono or stereo: split it and add the parts.`,
    );
  }
}

function inHours(seconds: number): string {
  const minutes = Math.floor(seconds / 60);
  return `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

function reason(fault: unknown): string {
  if (fault instanceof AudioFileError) return fault.message;
  // What browsers throw when an array can't be had.
  return fault instanceof RangeError
    ? 'This browser tab has no memory left for it. Close other tabs, or use shorter files.'
    : 'The browser could not read it.';
}

async function decodeByBrowser(bytes: Uint8Array<ArrayBuffer>, format: string, sampleRate: number): Promise<AudioData> {
  const context = new OfflineAudioContext({ length: 1, numberOfChannels: 1, sampleRate });
  // Decoding takes the buffer away, so it gets a copy.
  const buffer = await context.decodeAudioData(bytes.slice().buffer).catch(() => {
    throw new AudioFileError(
      `This browser can't decode this ${format.toUpperCase()} file. It may be damaged, or too long: ${
        format === 'flac' ? 'export it again, best as WAV' : 'convert it to WAV or FLAC'
      }, and add that.`,
    );
  });
  const channels = Array.from({ length: buffer.numberOfChannels }, (_, i) => buffer.getChannelData(i).slice());
  return { channels, sampleRate: buffer.sampleRate };
}
