import { gaussian } from '../../src/dsp/random.ts';
import { mode } from './filters.ts';

/** One stroke of the arm: the seeds fly and hit the wall of the shell. */
export interface Shake {
  start: number;
  /** 0 to 1. */
  force: number;
  /** s over which the seeds arrive: short is a snap, long is a brush. */
  spread: number;
}

/** Seeds in the shell. */
const SEEDS = 320;
/** Modes of the shell: Hz, time to fall by 60 dB in s, gain. */
const SHELL: [number, number, number][] = [
  [2950, 0.007, 0.8],
  [4380, 0.006, 1],
  [6250, 0.0045, 1],
  [8700, 0.0035, 0.8],
];

/**
 * A shaker as so many seeds: each stroke throws them, and every seed's hits are single events at random instants, hard at
 * first and weaker as it settles (stochastic, after P. Cook's particle models, Computer Music Journal 21(3) 1997, from
 * memory). Every hit is a grain of noise of a fraction of a millisecond that rings the shell's modes.
 * @returns the sound, `frames` long
 */
export function playShaker(shakes: Shake[], frames: number, rate: number, random: () => number): Float64Array {
  const hits = new Float64Array(frames);
  for (const shake of shakes) {
    for (let seed = 0; seed < SEEDS; seed++) addSeed(hits, shake, rate, random);
  }
  const shell = SHELL.map(([f, t60, gain]) => ({ ring: mode(f, t60, rate), gain }));
  return hits.map((hit) => {
    let y = 0.8 * hit;
    for (const { ring, gain } of shell) y += gain * ring(hit);
    return y;
  });
}

/** One seed's flight in one stroke: it arrives once, bounces a few times, each bounce sooner and weaker. */
function addSeed(hits: Float64Array, shake: Shake, rate: number, random: () => number): void {
  let time = shake.start / rate + Math.abs(shake.spread * (0.45 + 0.3 * gaussian(random)));
  let speed = shake.force * (0.45 + 0.55 * random());
  for (let bounce = 0; bounce < 4 && speed > 0.004; bounce++) {
    const at = Math.round(time * rate);
    const length = 10 + Math.floor(random() * 16);
    for (let i = 0; i < length && at + i < hits.length; i++) {
      hits[at + i] += speed * (2 * random() - 1) * (1 - i / length);
    }
    time += (0.006 + 0.02 * random()) * (0.35 + speed);
    speed *= 0.25 + 0.25 * random();
  }
}
