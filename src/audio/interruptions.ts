/** Tells when listening is disturbed: what was heard from then on can't be relied upon. */
import type { IAudioContext } from './audio-library.ts';

export type Interruption = 'sound-interrupted' | 'tab-hidden' | 'device-changed';

/** A running context whose clock stands still this long has lost its device, ms. */
const STANDSTILL = 1500;
const LOOK_EVERY = 250;

/** Watches until it is told to stop; tells once. */
export function watchInterruptions(context: IAudioContext, tell: (reason: Interruption) => void): () => void {
  const end = new AbortController();
  const { signal } = end;
  const interrupted = (reason: Interruption) => {
    if (signal.aborted) return;
    end.abort();
    tell(reason);
  };
  document.addEventListener('visibilitychange', () => document.hidden && interrupted('tab-hidden'), { signal });
  // Not there where the page isn't secure.
  const devices = navigator.mediaDevices as MediaDevices | undefined;
  devices?.addEventListener('devicechange', () => interrupted('device-changed'), { signal });
  const onState = () => context.state !== 'running' && interrupted('sound-interrupted');
  context.addEventListener('statechange', onState);
  let clock = { time: context.currentTime, seen: performance.now() };
  const timer = setInterval(() => {
    if (context.currentTime !== clock.time) clock = { time: context.currentTime, seen: performance.now() };
    else if (performance.now() - clock.seen > STANDSTILL) interrupted('sound-interrupted');
  }, LOOK_EVERY);
  signal.addEventListener('abort', () => {
    clearInterval(timer);
    context.removeEventListener('statechange', onState);
  });
  return () => end.abort();
}
