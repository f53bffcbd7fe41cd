import { type AudioData, framesToWrite, type Random } from './audio-data.ts';
import { AudioFileError } from './audio-file-error.ts';
import { quantise } from './quantise.ts';
import { wavChunks } from './riff.ts';
import { readWavHeader, wavHeaderBytes } from './wav-header.ts';
import { readSamples, writeFloats, writeWholeNumbers } from './wav-samples.ts';

/** How a WAV is to be written. */
export interface WavOptions {
  bits: 16 | 24 | 'float';
  /**
   * Seeded random numbers for triangular dither, ±1 LSB. Used at 16 bit only: at 24 bit it would lie at −144 dBFS, below
   * any converter's noise, and would keep a file from passing through unchanged.
   */
  dither?: Random;
  /** Told how many samples didn't fit and were limited; at 'float' only those that are not numbers count. */
  onOvers?: (overs: number) => void;
}

/**
 * Reads a WAV: PCM of 8, 16, 24 or 32 bits, float of 32 or 64, plain or extensible, RIFF or RF64.
 * Up to 24 bits and for 32-bit floats the samples are exact; wider ones are rounded to 32-bit floats.
 *
 * @throws AudioFileError for anything that is not such a file, or not all of it.
 */
export function readWav(bytes: Uint8Array): AudioData {
  const chunks = wavChunks(bytes);
  const fmt = chunks.get('fmt ');
  const data = chunks.get('data');
  if (!fmt || fmt.size < 16 || fmt.start + 16 > bytes.length) {
    throw new AudioFileError('The WAV header has no format; export the file again.');
  }
  if (!data) throw new AudioFileError('The WAV has a header but no sound; export it again.');
  const header = readWavHeader(bytes, fmt, chunks.get('bext'));
  const frameBytes = header.channels * header.sampleBytes;
  const frames = Math.floor(data.size / frameBytes);
  if (frames === 0) {
    throw new AudioFileError('The WAV holds no sound: its recording was empty or never finished; export it again.');
  }
  const there = Math.floor((bytes.length - data.start) / frameBytes);
  if (there < frames) {
    const seconds = (count: number) => (count / header.sampleRate).toFixed(1);
    throw new AudioFileError(
      `The file breaks off: ${seconds(there)} s of ${seconds(frames)} s are there; copy it again from its source.`,
    );
  }
  const { channels, notNumbers } = readSamples(bytes.subarray(data.start), header, frames);
  const width = header.sampleBytes as 1 | 2 | 3 | 4 | 8;
  return {
    channels,
    sampleRate: header.sampleRate,
    bits: header.float ? (width === 4 ? 'float' : 'double') : ((8 * width) as 8 | 16 | 24 | 32),
    channelMask: header.channelMask,
    ...(notNumbers > 0 ? { notNumbers } : {}),
    ...(header.bext ? { bext: header.bext } : {}),
  };
}

/**
 * Writes a WAV, with its broadcast extension if there is one; more than two channels make it extensible.
 *
 * @throws AudioFileError if there is nothing to write, the channels differ in length, or it is too long for a WAV.
 */
export function writeWav(audio: AudioData, { bits, dither, onOvers }: WavOptions): Uint8Array {
  const frames = framesToWrite(audio);
  const header = wavHeaderBytes(audio, bits, frames);
  const sampleBytes = bits === 'float' ? 4 : bits / 8;
  const stride = sampleBytes * audio.channels.length;
  const dataBytes = frames * stride;
  const padded = dataBytes + (dataBytes % 2);
  if (header.length + padded > 0xffff_ffff) {
    throw new AudioFileError('A WAV ends at 4 GB, and this would be longer; write it in parts.');
  }
  const bytes = new Uint8Array(header.length + padded);
  bytes.set(header);
  const view = new DataView(bytes.buffer);
  view.setUint32(4, bytes.length - 8, true);
  view.setUint32(header.length - 4, dataBytes, true);
  let overs = 0;
  audio.channels.forEach((channel, index) => {
    const start = header.length + index * sampleBytes;
    if (bits === 'float') {
      overs += writeFloats(view, start, stride, channel);
    } else {
      const quantised = quantise(channel, bits, bits === 16 ? dither : undefined);
      overs += quantised.overs;
      writeWholeNumbers(view, start, stride, quantised.samples, bits);
    }
  });
  onOvers?.(overs);
  return bytes;
}
