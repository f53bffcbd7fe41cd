import type { AudioData } from '../files/audio-data.ts';
import { readWav } from '../files/wav.ts';
import { Handed, serve } from '../workers/serve.ts';

/** What the page and the worker that reads WAV files say to each other. */
export interface WavProtocol {
  readonly asks: {
    readonly read: { readonly ask: Uint8Array<ArrayBuffer>; readonly told: never; readonly answer: AudioData };
  };
  readonly notes: Readonly<Record<never, never>>;
  readonly news: Readonly<Record<never, never>>;
}

/** Reads WAV files off the main thread: a long one would hold the screen for a second. */
serve<WavProtocol>({
  asks: {
    read: (bytes) => {
      const audio = readWav(bytes);
      return new Handed(
        audio,
        audio.channels.map(({ buffer }) => buffer),
      );
    },
  },
  notes: {},
  faultText: (fault) => (fault instanceof Error ? fault.message : String(fault)),
});
