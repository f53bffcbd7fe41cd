import { seededRandom } from '../../src/dsp/random.ts';
import { lowPass } from './filters.ts';
import { LOOP_FRAMES, RATE, roundTheLoop } from './loop.ts';

/** Where an instrument and one of its microphones stand in the hall, m. */
export interface Place {
  source: [number, number, number];
  microphone: [number, number, number];
  /** Level of the hall's late sound against the direct sound, dB. */
  lateDb: number;
}

/** A small wooden hall, m. */
const HALL: [number, number, number] = [13.2, 9.1, 5.3];
const SOUND_SPEED = 343;
/** What a wall gives back, and above which frequency it gives back less. */
const WALL = 0.72;
const WALL_CORNER = 4200;
/** Fall of the late sound by 60 dB, s. */
const LATE_T60 = 0.85;
/** Late sound's delay lines, samples: without common factors. */
const LINES = [1499, 1787, 2053, 2311, 2633, 2917, 3253, 3581];

interface Echo {
  delay: number;
  gain: number;
  /** Walls that it met: 1 or 2. */
  order: number;
}

/** Echoes from one and two walls: images of the source in a box (Allen and Berkley, JASA 65, 1979, from memory). */
function echoes({ source, microphone }: Place): Echo[] {
  const distance = (point: number[]) => Math.hypot(...point.map((v, axis) => v - microphone[axis]));
  const direct = distance(source);
  const found: Echo[] = [];
  // Along each axis: where the image lies when no wall, the near one or the far one is met.
  const images = (axis: number) => [
    { at: source[axis], walls: 0 },
    { at: -source[axis], walls: 1 },
    { at: 2 * HALL[axis] - source[axis], walls: 1 },
  ];
  for (const x of images(0)) {
    for (const y of images(1)) {
      for (const z of images(2)) {
        const order = x.walls + y.walls + z.walls;
        if (order === 0 || order > 2) continue;
        const way = distance([x.at, y.at, z.at]);
        const delay = Math.round(((way - direct) / SOUND_SPEED) * RATE);
        found.push({ delay, gain: (WALL ** order * direct) / way, order });
      }
    }
  }
  return found;
}

/** Sound in the hall at the microphone, round the loop; the direct sound stays where it is, at gain 1. */
export function inTheHall(dry: Float64Array, place: Place, seed: number): Float64Array {
  const out = dry.slice();
  // A dull copy for each number of walls.
  const duller = [1, 2].map((order) => {
    const filters = Array.from({ length: order }, () => lowPass(WALL_CORNER, RATE));
    return roundTheLoop(dry, (x) => filters.reduce((value, filter) => filter(value), x));
  });
  for (const { delay, gain, order } of echoes(place)) {
    const copy = duller[order - 1];
    for (let i = 0; i < LOOP_FRAMES; i++) {
      const at = i - delay;
      out[i] += gain * copy[at < 0 ? at + LOOP_FRAMES : at];
    }
  }
  const late = lateSound(duller[1], seed);
  const gain = 10 ** (place.lateDb / 20);
  for (let i = 0; i < LOOP_FRAMES; i++) out[i] += gain * late[i];
  return out;
}

/** The late sound: eight delay lines that feed each other through a Householder matrix (I − 2/N), duller at each turn. */
function lateSound(input: Float64Array, seed: number): Float64Array {
  const random = seededRandom(seed);
  const lines = LINES.map((length) => ({
    memory: new Float64Array(length),
    at: 0,
    gain: 10 ** ((-3 * length) / (LATE_T60 * RATE)),
    dull: lowPass(5200, RATE),
    sign: random() < 0.5 ? -1 : 1,
  }));
  const values = new Float64Array(lines.length);
  return roundTheLoop(input, (x) => {
    let sum = 0;
    let heard = 0;
    lines.forEach((line, k) => {
      values[k] = line.gain * line.dull(line.memory[line.at]);
      sum += values[k];
      heard += line.sign * values[k];
    });
    const back = (2 / lines.length) * sum;
    lines.forEach((line, k) => {
      line.memory[line.at] = x + values[k] - back;
      line.at = line.at + 1 === line.memory.length ? 0 : line.at + 1;
    });
    return heard * 0.35;
  });
}
