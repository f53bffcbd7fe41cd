import type { AudioData } from '../files/audio-data.ts';

/** What the page and the worker that reads WAV files say to each other. */
export interface WavProtocol {
  readonly asks: {
    readonly read: { readonly ask: Uint8Array<ArrayBuffer>; readonly told: never; readonly answer: AudioData };
  };
  readonly notes: Readonly<Record<never, never>>;
  readonly news: Readonly<Record<never, never>>;
}
