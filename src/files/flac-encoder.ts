import type { BroadcastLoudness } from './audio-data.ts';
import { checkShape } from './audio-data.ts';
import { AudioFileError } from './audio-file-error.ts';
import { flacHead, flacHeadBytes } from './flac-comments.ts';
import type { FlacLibrary, StreamInfo } from './flac-library.ts';
import { completeStreamInfo, loadFlacLibrary } from './flac-library.ts';
import { asFloats, quantise } from './quantise.ts';
import type { EncoderOptions, SoundEncoder } from './sound-encoder.ts';

const MOST_CHANNELS = 8;
/** The library takes rates up to this and refuses others. */
const HIGHEST_RATE = 655_350;
const BLOCK = 4096;
/** A fifth quicker than the usual 5, for one or two per cent of size: the encoder is what an export waits for. */
const LEVEL = 3;
/**
 * A FLAC as a stream. Its length stands in the header from the start; frame sizes, the MD5 of the sound and its loudness
 * are known at the end, and come as a patch of the head. Without it the file is valid and says that they aren't known
 * (RFC 9639, section 8.2).
 */
class FlacEncoder implements SoundEncoder {
  readonly totalBytes = null;
  overs = 0;
  private readonly encoder: number;
  private pending: Uint8Array[] = [];
  private head = new Uint8Array(0);
  private streamInfo: StreamInfo | undefined;
  private open = true;

  constructor(
    private readonly flac: FlacLibrary,
    private readonly options: EncoderOptions & { readonly bits: 16 | 24 },
  ) {
    const { channels, sampleRate, bits, frames } = options;
    this.encoder = flac.create_libflac_encoder(sampleRate, channels, bits, LEVEL, frames, false, BLOCK);
    if (this.encoder === 0) throw refused();
    const status = flac.init_encoder_stream(
      this.encoder,
      (bytes) => {
        // The library's own buffer is used again.
        this.pending.push(bytes.slice());
      },
      (info) => {
        this.streamInfo = info;
      },
    );
    if (status !== 0) {
      this.discard();
      throw refused();
    }
  }

  begin(): Uint8Array<ArrayBuffer> {
    const bytes = this.take();
    const { bext } = this.options;
    this.head = bext ? flacHead(bytes, bext) : bytes.slice(0, flacHeadBytes(bytes));
    return this.head.slice();
  }

  encode(planes: readonly Float32Array[], from: number, to: number): Uint8Array<ArrayBuffer> {
    const { bits, dither, onWritten } = this.options;
    const samples = Array.from({ length: this.options.channels }, (_, channel) => {
      const quantised = quantise(planes[channel].subarray(from, to), bits, bits === 16 ? dither?.[channel] : undefined);
      this.overs += quantised.overs;
      return quantised.samples;
    });
    onWritten?.(samples.map((plane) => asFloats(plane, bits)));
    if (!this.flac.FLAC__stream_encoder_process(this.encoder, samples, to - from)) throw refused();
    return this.take();
  }

  end(loudness?: BroadcastLoudness) {
    if (!this.flac.FLAC__stream_encoder_finish(this.encoder)) throw refused();
    this.discard();
    const bytes = this.take();
    if (!this.streamInfo) return { bytes, patch: null };
    const { bext } = this.options;
    if (bext && loudness) this.head = flacHead(this.head, { ...bext, loudness });
    completeStreamInfo(this.head, this.streamInfo);
    return { bytes, patch: { at: 0, bytes: this.head } };
  }

  discard(): void {
    if (this.open) this.flac.FLAC__stream_encoder_delete(this.encoder);
    this.open = false;
  }

  private take(): Uint8Array<ArrayBuffer> {
    const bytes = new Uint8Array(this.pending.reduce((sum, part) => sum + part.length, 0));
    let at = 0;
    for (const part of this.pending) {
      bytes.set(part, at);
      at += part.length;
    }
    this.pending = [];
    return bytes;
  }
}

/** @throws AudioFileError if there is nothing to write or FLAC can't hold it */
export async function openFlacEncoder(options: EncoderOptions): Promise<SoundEncoder> {
  const { channels, sampleRate, bits, frames } = options;
  checkShape(channels, sampleRate);
  if (bits === 'float') throw new AudioFileError('FLAC holds whole numbers only; write 16 or 24 bits, or a WAV.');
  if (channels > MOST_CHANNELS || sampleRate > HIGHEST_RATE || sampleRate % 1 !== 0) {
    throw new AudioFileError(`FLAC can't hold ${channels} channels at ${sampleRate} Hz; write a WAV.`);
  }
  if (frames <= 0) throw new AudioFileError('There is no sound to write; choose a longer stretch.');
  return new FlacEncoder(await loadFlacLibrary(), { ...options, bits });
}

function refused(): AudioFileError {
  return new AudioFileError('The FLAC encoder refused the sound; write a WAV.');
}
