import { checkShape } from './audio-data.ts';
import { AudioFileError } from './audio-file-error.ts';
import { quantise } from './quantise.ts';
import type { EncoderOptions, SoundEncoder } from './sound-encoder.ts';
import { wavHeaderBytes } from './wav-header.ts';
import { writeFloats, writeWholeNumbers } from './wav-samples.ts';

const LARGEST = 0xffff_ffff;

/**
 * A WAV as a stream: its length is stated beforehand, so nothing has to be gone back to. The samples are those that
 * `writeWav` writes, but for the dither, which has one generator a channel here.
 *
 * @throws AudioFileError if there is nothing to write or it is too long for a WAV
 */
export class WavEncoder implements SoundEncoder {
  readonly totalBytes: number;
  overs = 0;
  private readonly header: Uint8Array<ArrayBuffer>;
  private readonly sampleBytes: number;
  private readonly dataBytes: number;

  constructor(private readonly options: EncoderOptions) {
    const { channels, sampleRate, bits, frames, bext } = options;
    checkShape(channels, sampleRate);
    if (frames <= 0) throw new AudioFileError('There is no sound to write; choose a longer stretch.');
    this.sampleBytes = bits === '32f' ? 4 : bits / 8;
    this.dataBytes = frames * channels * this.sampleBytes;
    const shape = { channels: Array.from({ length: channels }, () => new Float32Array(0)), sampleRate };
    this.header = wavHeaderBytes(bext ? { ...shape, bext } : shape, bits, frames).slice();
    this.totalBytes = this.header.length + this.dataBytes + (this.dataBytes % 2);
    if (this.totalBytes > LARGEST) {
      throw new AudioFileError('A WAV ends at 4 GB, and this would be longer; write it in parts or as FLAC.');
    }
    const view = new DataView(this.header.buffer);
    view.setUint32(4, this.totalBytes - 8, true);
    view.setUint32(this.header.length - 4, this.dataBytes, true);
  }

  begin(): Uint8Array<ArrayBuffer> {
    return this.header;
  }

  encode(planes: readonly Float32Array[], from: number, to: number): Uint8Array<ArrayBuffer> {
    const { channels, bits, dither } = this.options;
    const stride = this.sampleBytes * channels;
    const bytes = new Uint8Array((to - from) * stride);
    const view = new DataView(bytes.buffer);
    for (let channel = 0; channel < channels; channel++) {
      const samples = planes[channel].subarray(from, to);
      const start = channel * this.sampleBytes;
      if (bits === '32f') {
        this.overs += writeFloats(view, start, stride, samples) + overFullScale(samples);
      } else {
        const quantised = quantise(samples, bits, bits === 16 ? dither?.[channel] : undefined);
        this.overs += quantised.overs;
        writeWholeNumbers(view, start, stride, quantised.samples, bits);
      }
    }
    return bytes;
  }

  end() {
    return { bytes: new Uint8Array(this.dataBytes % 2), patch: null };
  }

  discard(): void {
    // Nothing is held.
  }
}

function overFullScale(samples: Float32Array): number {
  let count = 0;
  for (let i = 0; i < samples.length; i++) if (Math.abs(samples[i]) > 1) count++;
  return count;
}
