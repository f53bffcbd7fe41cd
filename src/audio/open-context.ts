/** Audio contexts at a rate of our own, asked for politely. */
import type { IAudioContext } from './audio-library.ts';
import { AudioContext } from './audio-library.ts';

/** A context that would not start; the message is a sentence for the user. */
export class AudioStartError extends Error {
  override readonly name = 'AudioStartError';
}

/** @throws AudioStartError where the device can't be opened at that rate */
export function openContext(sampleRate: number): IAudioContext {
  try {
    return new AudioContext({ latencyHint: 'interactive', sampleRate });
  } catch {
    throw new AudioStartError(
      `The audio device can't be opened at ${sampleRate} Hz. Check that an output device is connected and start again.`,
    );
  }
}

/** Asks a context that the browser has put to sleep to go on; false when it doesn't within a second. */
export async function wakeContext(context: IAudioContext): Promise<boolean> {
  if (context.state === 'running') return true;
  const woken = context.resume().then(
    () => true,
    () => false,
  );
  const late = new Promise<boolean>((resolve) => setTimeout(() => resolve(false), 1000));
  return (await Promise.race([woken, late])) && (context.state as string) === 'running';
}
