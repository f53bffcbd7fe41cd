import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { resample } from '../../src/dsp/resample.ts';
import { chain, coloured, highPass, lowPass } from '../models/filters.ts';
import { addFreeReed, type ReedGeometry } from '../models/free-reed.ts';
import { RATE, roundTheLoop, withTail, wrapTail } from '../models/loop.ts';
import { ACCORDION, EIGHTH, EIGHTHS_A_BAR, frequencyOf, pitchOf } from '../score.ts';
import { lateness, swell, wandering } from './gesture.ts';

const FAST = 2 * RATE;
const REED: ReedGeometry = { rest: 0.32, plate: 0.6, leak: 0.05, hiss: 0.008 };
/** Three ranks of reeds a note: one in tune, one sharp, one flat, beating by a few hertz. In cents. */
const RANKS = [0, 13, -11];
/** Eighths of a bar on which chords are struck off the beat, and their strength. */
const STABS: [number, number][] = [
  [1, 0.85],
  [3, 0.8],
  [5, 0.9],
  [7, 0.95],
  [8, 0.75],
];

interface Press {
  start: number;
  length: number;
  pitch: number;
  strength: number;
  held: boolean;
}

/** The accordion, dry, as two microphones hear it: chords on three ranks of free reeds that share one bellows. */
export function accordion(seed: number): [Float64Array, Float64Array] {
  const random = seededRandom(seed);
  const frames = withTail().length * 2;
  const sides = [new Float64Array(frames), new Float64Array(frames)];
  const one = new Float64Array(frames);
  const bellows = wandering(frames, FAST, 3, random);
  for (const press of presses(random)) {
    for (const [rank, cents] of RANKS.entries()) {
      const begin = Math.round(press.start * FAST);
      const pressure = pressureOf(press, bellows, begin, random);
      const frequency = frequencyOf(press.pitch) * 2 ** ((cents + gaussian(random)) / 1200);
      one.fill(0, begin, begin + pressure.length);
      addFreeReed(one, FAST, { frequency, start: begin, pressure, gain: 0.4 }, REED, random);
      // Keys lie side by side and ranks behind each other: every reed stands a little elsewhere.
      const place = Math.max(0.1, Math.min(0.9, 0.5 + 0.035 * (press.pitch - 64) + 0.12 * (rank - 1)));
      const end = Math.min(frames, begin + pressure.length);
      for (let i = begin; i < end; i++) {
        sides[0][i] += (1.25 - place) * one[i];
        sides[1][i] += (0.25 + place) * one[i];
      }
    }
  }
  return sides.map((side, index) => {
    const dry = wrapTail(Float64Array.from(resample(Float32Array.from(side), FAST, RATE)));
    // A wooden box behind a grille; each microphone finds other resonances.
    const shift = index === 0 ? 1 : 1.07;
    const box = chain(
      highPass(120, RATE),
      coloured(
        0.5,
        [
          [430 * shift, 1.4, 0.6],
          [1150 * shift, 1.8, 0.55],
          [2700 * shift, 2, 0.6],
        ],
        RATE,
      ),
      lowPass(6800, RATE),
    );
    return roundTheLoop(dry, box);
  }) as [Float64Array, Float64Array];
}

function presses(random: () => number): Press[] {
  const list: Press[] = [];
  let eighth = 0;
  for (const { chord, eighths, way, strength } of ACCORDION) {
    const pitches = chord.split(' ').map(pitchOf);
    const press = (at: number, length: number, force: number, held: boolean) => {
      const late = lateness(random);
      // Fingers never land quite together.
      for (const pitch of pitches) {
        const start = Math.max(0, (eighth + at) * EIGHTH + late + 0.004 * random());
        list.push({ start, length: length * EIGHTH, pitch, strength: force, held });
      }
    };
    if (way === 'held') press(0, eighths - 0.12, strength, true);
    else for (const [at, force] of STABS) press(at, 0.7, strength * force, false);
    // Between the stabs a soft low fifth goes on, so that the bellows are never idle.
    if (way === 'stab') {
      for (const pitch of [pitches[0] - 12, pitches[pitches.length - 1] - 12]) {
        const start = Math.max(0, eighth * EIGHTH + lateness(random));
        list.push({ start, length: (EIGHTHS_A_BAR - 0.15) * EIGHTH, pitch, strength: strength * 0.42, held: true });
      }
    }
    eighth += eighths;
  }
  return list;
}

function pressureOf(press: Press, bellows: Float64Array, begin: number, random: () => number): Float64Array {
  const held = Math.round(press.length * FAST);
  const pressure = new Float64Array(held + Math.round(0.1 * FAST));
  const top = 0.12 + 0.8 * press.strength ** 1.6;
  const quick = 1 + 0.1 * gaussian(random);
  for (let i = 0; i < pressure.length; i++) {
    const t = i / FAST;
    // Held chords swell towards their middle and are leant on at the group of three.
    const arc = press.held ? 0.78 + 0.3 * Math.sin((Math.PI * Math.min(t, press.length)) / press.length) : 1;
    const lean = press.held ? 1 + 0.2 * Math.exp(-(((t / EIGHTH - 6.2) / 0.5) ** 2)) : 1 + 0.3 * Math.exp(-t / 0.05);
    const valve = swell(i, held, 0.008 * quick * FAST, 0.03 * FAST);
    pressure[i] = top * arc * lean * valve * (1 + 0.05 * (bellows[begin + i] ?? 0));
  }
  return pressure;
}
