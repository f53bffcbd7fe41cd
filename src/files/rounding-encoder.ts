import { asFloats, quantise } from './quantise.ts';
import type { EncoderOptions, SoundEncoder } from './sound-encoder.ts';

const NOTHING = new Uint8Array(0);

/** Rounds samples as the encoders do and tells what a reader would get, where anyone listens. It writes and counts nothing. */
export class RoundingEncoder implements SoundEncoder {
  readonly totalBytes = 0;
  readonly overs = 0;

  constructor(private readonly options: EncoderOptions) {}

  begin(): Uint8Array<ArrayBuffer> {
    return NOTHING;
  }

  encode(planes: readonly Float32Array[], from: number, to: number): Uint8Array<ArrayBuffer> {
    const { channels, bits, dither, onWritten } = this.options;
    if (!onWritten) return NOTHING;
    const written = planes.slice(0, channels).map((plane, channel) => {
      const samples = plane.subarray(from, to);
      if (bits === 'float') return samples;
      return asFloats(quantise(samples, bits, bits === 16 ? dither?.[channel] : undefined).samples, bits);
    });
    onWritten(written);
    return NOTHING;
  }

  end() {
    return { bytes: NOTHING, patch: null };
  }

  discard(): void {
    // Nothing is held.
  }
}
