import { readWav } from '../files/wav.ts';
import { Handed, serve } from '../workers/serve.ts';
import type { WavProtocol } from './wav-protocol.ts';

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
