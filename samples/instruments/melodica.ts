import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { resample } from '../../src/dsp/resample.ts';
import { chain, coloured, highPass, lowPass } from '../models/filters.ts';
import { addFreeReed, type ReedGeometry } from '../models/free-reed.ts';
import { RATE, roundTheLoop, withTail, wrapTail } from '../models/loop.ts';
import { frequencyOf, MELODICA, type Note, notesOf } from '../score.ts';
import { lateness, swell, wandering } from './gesture.ts';

/** The reeds run at twice the rate: their sharp pulses would alias otherwise. */
const FAST = 2 * RATE;
const REED: ReedGeometry = { rest: 0.5, plate: 0.55, leak: 0.035, hiss: 0.02 };
/** A quick note before the beat, s. */
const GRACE = 0.062;

/** The melodica, dry: one rank of free reeds blown through a mouthpiece, each note tongued, long ones with vibrato. */
export function melodica(seed: number): Float64Array {
  const random = seededRandom(seed);
  const fast = new Float64Array(withTail().length * 2);
  for (const note of notesOf(MELODICA)) {
    const start = note.start + lateness(random);
    if (note.grace) {
      blow(
        fast,
        { ...note, length: GRACE, pitch: note.pitch + 2, strength: note.strength * 0.8 },
        start - GRACE,
        random,
      );
    }
    blow(fast, note, start, random);
  }
  const dry = wrapTail(Float64Array.from(resample(Float32Array.from(fast), FAST, RATE)));
  // A small plastic box: a hollow low resonance, a nasal one, and not much beyond 8 kHz.
  const box = chain(
    highPass(180, RATE),
    coloured(
      0.55,
      [
        [820, 1.2, 0.35],
        [2150, 1.8, 0.5],
        [3700, 3, 0.4],
      ],
      RATE,
    ),
    lowPass(9500, RATE),
  );
  return roundTheLoop(dry, box);
}

function blow(fast: Float64Array, note: Note, start: number, random: () => number): void {
  const begin = Math.max(0, Math.round(start * FAST));
  const held = Math.round((note.length - 0.018) * FAST);
  const frames = held + Math.round(0.12 * FAST);
  const pressure = new Float64Array(frames);
  const unsteady = wandering(frames, FAST, 7, random);
  const top = 0.18 + 0.75 * note.strength ** 1.5;
  const rate = 5 + 0.4 * gaussian(random);
  for (let i = 0; i < frames; i++) {
    const t = i / FAST;
    const depth = 0.13 * Math.min(1, Math.max(0, (t - 0.22) / 0.3));
    const tongue = 1 + 0.25 * Math.exp(-t / 0.03);
    const shape = swell(i, held, 0.012 * FAST, 0.03 * FAST) * (1 - 0.12 * Math.min(1, t / 0.5));
    pressure[i] = top * shape * tongue * (1 + depth * Math.sin(2 * Math.PI * rate * t) + 0.025 * unsteady[i]);
  }
  // A plastic instrument is tuned to within a few cents.
  const frequency = frequencyOf(note.pitch) * 2 ** ((((note.pitch * 7) % 11) - 5) / 2400);
  addFreeReed(fast, FAST, { frequency, start: begin, pressure, gain: 1 }, REED, random);
}
