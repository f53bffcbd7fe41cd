import type { IAudioContext } from './audio-library.ts';

/** A running context whose clock stands still this long has lost its device, ms. */
const STANDSTILL = 2500;

/**
 * A context that runs but whose clock stands still has lost its device; nothing else tells us. One that the system put
 * to sleep is asked to go on. @returns ends the watch
 */
export function watchClock(context: IAudioContext, onStandstill: (reason: string) => void): () => void {
  let last = { time: -1, seen: performance.now() };
  const timer = setInterval(() => {
    if (context.currentTime !== last.time || context.state !== 'running') {
      last = { time: context.currentTime, seen: performance.now() };
      if ((context.state as string) === 'suspended') void context.resume().catch(() => undefined);
    } else if (performance.now() - last.seen > STANDSTILL) {
      onStandstill('the audio device does not take any sound');
    }
  }, 500);
  return () => clearInterval(timer);
}
