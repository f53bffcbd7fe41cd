import type { BroadcastInfo, BroadcastLoudness } from './audio-data.ts';
import { checkShape } from './audio-data.ts';
import { AudioFileError } from './audio-file-error.ts';
import { asFloats, quantise } from './quantise.ts';
import type { EncoderOptions, SoundEncoder } from './sound-encoder.ts';
import { wavHeaderBytes } from './wav-header.ts';
import { writeFloats, writeWholeNumbers } from './wav-samples.ts';

const LARGEST = 0xffff_ffff;

/**
 * A WAV as a stream: its length is stated beforehand, so only a loudness that is known at the end has to be gone back
 * for; it comes as a patch of the header. The samples are those that `writeWav` writes, but for the dither, which has one
 * generator a channel here.
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
    const { channels, sampleRate, bits, frames } = options;
    checkShape(channels, sampleRate);
    if (frames <= 0) throw new AudioFileError('There is no sound to write; choose a longer stretch.');
    this.sampleBytes = bits === 'float' ? 4 : bits / 8;
    this.dataBytes = frames * channels * this.sampleBytes;
    this.header = this.headerOf(options.bext);
    this.totalBytes = this.header.length + this.dataBytes + (this.dataBytes % 2);
    if (this.totalBytes > LARGEST) {
      throw new AudioFileError('A WAV ends at 4 GB, and this would be longer; write it in parts or as FLAC.');
    }
  }

  begin(): Uint8Array<ArrayBuffer> {
    return this.header;
  }

  encode(planes: readonly Float32Array[], from: number, to: number): Uint8Array<ArrayBuffer> {
    const { channels, bits, dither, onWritten } = this.options;
    const written: Float32Array[] = [];
    const stride = this.sampleBytes * channels;
    const bytes = new Uint8Array((to - from) * stride);
    const view = new DataView(bytes.buffer);
    for (let channel = 0; channel < channels; channel++) {
      const samples = planes[channel].subarray(from, to);
      const start = channel * this.sampleBytes;
      if (bits === 'float') {
        this.overs += writeFloats(view, start, stride, samples) + overFullScale(samples);
        written.push(samples);
      } else {
        const quantised = quantise(samples, bits, bits === 16 ? dither?.[channel] : undefined);
        this.overs += quantised.overs;
        writeWholeNumbers(view, start, stride, quantised.samples, bits);
        if (onWritten) written.push(asFloats(quantised.samples, bits));
      }
    }
    onWritten?.(written);
    return bytes;
  }

  end(loudness?: BroadcastLoudness) {
    const { bext } = this.options;
    const patch = bext && loudness ? { at: 0, bytes: this.headerOf({ ...bext, loudness }) } : null;
    return { bytes: new Uint8Array(this.dataBytes % 2), patch };
  }

  discard(): void {
    // Nothing is held.
  }

  /** As long for one extension as for the same with another loudness: its fields have their places in any case. */
  private headerOf(bext: BroadcastInfo | undefined): Uint8Array<ArrayBuffer> {
    const { channels, sampleRate, bits, frames } = this.options;
    const shape = { channels: Array.from({ length: channels }, () => new Float32Array(0)), sampleRate };
    const header = wavHeaderBytes(bext ? { ...shape, bext } : shape, bits, frames).slice();
    const view = new DataView(header.buffer);
    view.setUint32(4, header.length + this.dataBytes + (this.dataBytes % 2) - 8, true);
    view.setUint32(header.length - 4, this.dataBytes, true);
    return header;
  }
}

function overFullScale(samples: Float32Array): number {
  let count = 0;
  for (let i = 0; i < samples.length; i++) if (Math.abs(samples[i]) > 1) count++;
  return count;
}
