import type { AudioData } from '../files/audio-data.ts';
import { AudioFileError } from '../files/audio-file-error.ts';
import { sniff } from '../files/sniff.ts';
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
    const { format, sampleRate = 48_000 } = sniff(bytes);
    const audio = await (format === 'wav' ? readWavAside(bytes) : decodeByBrowser(bytes, format, sampleRate));
    const frames = audio.channels[0]?.length ?? 0;
    if (frames === 0) throw new AudioFileError('It has no sound in it. Export it again and try that file.');
    if (frames / audio.sampleRate > LONGEST_SECONDS) {
      throw new AudioFileError('It is longer than an hour. Cut it to the part you want to work on.');
    }
    if (audio.channels.length > 2) {
      throw new AudioFileError(
        `It has ${audio.channels.length} channels. A channel here is mono or stereo: split it and add the parts.`,
      );
    }
    return audio;
  } catch (fault) {
    throw new AudioFileError(`${name}: ${reason(fault)}`);
  }
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
      `This browser can't decode this ${format.toUpperCase()} file. Convert it to WAV or FLAC and add that.`,
    );
  });
  const channels = Array.from({ length: buffer.numberOfChannels }, (_, i) => buffer.getChannelData(i).slice());
  return { channels, sampleRate: buffer.sampleRate };
}
