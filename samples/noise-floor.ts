import { gaussian } from '../src/dsp/random.ts';
import { lowPass } from './models/filters.ts';
import { RATE, roundTheLoop } from './models/loop.ts';

/**
 * Adds what a microphone and its preamplifier hear in a quiet hall: white noise and, under it, the hall's own rumble of
 * ventilation. Both go round the loop.
 * @param db RMS of the white part, dBFS (plain RMS)
 */
export function addNoiseFloor(channel: Float64Array, db: number, random: () => number): void {
  const white = 10 ** (db / 20);
  const air = Float64Array.from(channel, () => white * gaussian(random));
  const first = lowPass(90, RATE);
  const second = lowPass(160, RATE);
  const rumble = roundTheLoop(air, (x) => second(first(x)));
  // The rumble is 14 times the low-passed white noise: about as strong as the white noise as a whole.
  for (let i = 0; i < channel.length; i++) channel[i] += air[i] + 14 * rumble[i];
}
