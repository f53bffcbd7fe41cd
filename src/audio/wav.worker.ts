import type { AudioData } from '../files/audio-data.ts';
import { readWav } from '../files/wav.ts';

/** Reads WAV files off the main thread: a long one would hold the screen for a second. */

export type WavAnswer = { readonly audio: AudioData } | { readonly fault: string };

const scope = globalThis as unknown as {
  addEventListener(type: 'message', listener: (event: MessageEvent<Uint8Array>) => void): void;
  postMessage(message: WavAnswer, transfer: Transferable[]): void;
};

scope.addEventListener('message', ({ data }) => {
  try {
    const audio = readWav(data);
    scope.postMessage(
      { audio },
      audio.channels.map(({ buffer }) => buffer),
    );
  } catch (fault) {
    scope.postMessage({ fault: fault instanceof Error ? fault.message : String(fault) }, []);
  }
});
