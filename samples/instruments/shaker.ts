import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { chain, highPass } from '../models/filters.ts';
import { RATE, roundTheLoop, withTail, wrapTail } from '../models/loop.ts';
import { playShaker, type Shake } from '../models/shaken-seeds.ts';
import { EIGHTH, SHAKER_ACCENTS, SHAKER_STRENGTH } from '../score.ts';
import { lateness } from './gesture.ts';

/** The shaker, dry: eighteen strokes a bar, forth and back, snapped on the accents. */
export function shaker(seed: number): Float64Array {
  const random = seededRandom(seed);
  const shakes: Shake[] = [];
  SHAKER_STRENGTH.forEach((strength, bar) => {
    SHAKER_ACCENTS.forEach((accent, sixteenth) => {
      const swing = sixteenth % 2 === 1 ? 0.08 : 0;
      const time = ((bar * SHAKER_ACCENTS.length + sixteenth + swing) * EIGHTH) / 2 + 0.5 * lateness(random);
      const force = strength * (accent / 10) ** 0.95 * (1 + 0.1 * gaussian(random));
      shakes.push({ start: Math.max(0, Math.round(time * RATE)), force, spread: accent > 8 ? 0.045 : 0.07 });
    });
  });
  const open = chain(highPass(700, RATE), highPass(300, RATE));
  return roundTheLoop(wrapTail(playShaker(shakes, withTail().length, RATE, random)), open);
}
