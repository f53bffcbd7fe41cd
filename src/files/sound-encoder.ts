import type { BroadcastInfo, BroadcastLoudness, Random } from './audio-data.ts';

/** What a file is to be, said before the first sample: the header of a stream can't wait for its end. */
export interface EncoderOptions {
  readonly channels: number;
  readonly sampleRate: number;
  /** Frames that will come, exactly. */
  readonly frames: number;
  readonly bits: 16 | 24 | 'float';
  /** Seeded random numbers for triangular dither, one generator a channel; used at 16 bit only. */
  readonly dither?: readonly Random[];
  /** Written by formats that have a place for it. */
  readonly bext?: BroadcastInfo;
  /** Told the samples as a reader of the file will get them: limited, dithered, rounded. Full scale is ±1. */
  readonly onWritten?: (planes: readonly Float32Array[]) => void;
}

/** Bytes that belong over earlier ones, for a target that can go back; without them the file is valid all the same. */
export interface Patch {
  readonly at: number;
  readonly bytes: Uint8Array<ArrayBuffer>;
}

/** Writes one sound file bit by bit: `begin` once, `encode` until all frames are in, `end` once. */
export interface SoundEncoder {
  /** Samples that didn't fit and were limited; of floats, samples over full scale, which are kept. */
  readonly overs: number;
  /** Size of the whole file, where it is known beforehand. */
  readonly totalBytes: number | null;
  begin(): Uint8Array<ArrayBuffer>;
  /** Frames `from` to `to` of one plane a channel. */
  encode(planes: readonly Float32Array[], from: number, to: number): Uint8Array<ArrayBuffer>;
  /** @param loudness of what was written, for the broadcast extension; without one the extension stays as it began */
  end(loudness?: BroadcastLoudness): { readonly bytes: Uint8Array<ArrayBuffer>; readonly patch: Patch | null };
  /** Gives up what the encoder holds; after it, or after `end`, nothing else may be called. */
  discard(): void;
}
