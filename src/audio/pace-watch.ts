import type { IAudioContext } from './audio-library.ts';

/** Time over which the pace is taken, ms, and how often. */
const WINDOW = 4000;
const EVERY = 500;
/**
 * Sound that comes later than this share of the time was not computed in time: a device's clock is off by less than a
 * thousandth, and what a browser computes ahead is less than a hundredth of the window.
 */
const LATE = 0.02;
/** A pause between two looks that is longer than this says that the machine or the tab slept, ms. */
const ASLEEP = 5000;

/**
 * Compares a context's clock, which counts the sound it has computed, with the machine's. Where the engine can't keep up
 * there are gaps in what is heard, and nothing else tells of them in every browser.
 * @param tell the share of the last four seconds that came too late, whenever that changes; 0 while all is in time
 * @returns ends the watch
 */
export function watchPace(
  context: Pick<IAudioContext, 'currentTime' | 'state'>,
  tell: (late: number) => void,
): () => void {
  let looks: { readonly sound: number; readonly time: number }[] = [];
  let told = 0;
  const look = () => {
    const now = { sound: context.currentTime, time: performance.now() };
    const last = looks.at(-1);
    if (context.state !== 'running' || (last && now.time - last.time > ASLEEP)) looks = [];
    looks.push(now);
    while (looks.length > 1 && now.time - looks[1].time >= WINDOW) looks.shift();
    const [first] = looks;
    const span = now.time - first.time;
    const share = span >= WINDOW ? 1 - (1000 * (now.sound - first.sound)) / span : 0;
    const late = share > LATE ? Math.round(100 * share) / 100 : 0;
    if (late === told) return;
    told = late;
    tell(late);
  };
  const timer = setInterval(look, EVERY);
  return () => clearInterval(timer);
}
