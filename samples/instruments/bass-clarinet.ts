import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { resample } from '../../src/dsp/resample.ts';
import { playClarinet } from '../models/clarinet.ts';
import { chain, coloured, highPass, lowPass, mode } from '../models/filters.ts';
import { RATE, roundTheLoop, withTail, wrapTail } from '../models/loop.ts';
import { BASS_CLARINET, frequencyOf, notesOf } from '../score.ts';
import { lateness, swell, wandering } from './gesture.ts';

const FAST = 2 * RATE;

/** The bass clarinet, dry: one breath a phrase, notes slurred into each other or tongued where they repeat or rest. */
export function bassClarinet(seed: number): Float64Array {
  const random = seededRandom(seed);
  const frames = withTail().length * 2;
  const frequency = new Float64Array(frames);
  const pressure = new Float64Array(frames);
  const tongue = new Float64Array(frames);
  const keys = new Float64Array(frames);
  const notes = notesOf(BASS_CLARINET);
  const unsteady = wandering(frames, FAST, 5, random);
  notes.forEach((note, index) => {
    const start = Math.max(0, Math.round((note.start + lateness(random)) * FAST));
    const next = notes[index + 1];
    const slurred = next !== undefined && next.start - note.start - note.length < 0.01;
    const hz = frequencyOf(note.pitch) * 2 ** (gaussian(random) / 600);
    // Fingers stay where they are until the next note.
    frequency.fill(hz, index === 0 ? 0 : start);
    const before = notes[index - 1];
    const tongued = before === undefined || note.start - before.start - before.length > 0.01;
    const held = Math.round(note.length * FAST) + (slurred ? 0.03 * FAST : 0);
    const top = 0.44 + 0.3 * note.strength ** 1.4;
    const rise = (tongued ? 0.028 : 0.02) * FAST;
    for (let i = 0; i < held + 0.07 * FAST && start + i < frames; i++) {
      const t = i / FAST;
      const shape = swell(i, held, rise, 0.055 * FAST) * (1 - 0.07 * Math.min(1, t / 0.8));
      pressure[start + i] = Math.max(pressure[start + i], top * shape);
      // The tongue leaves the reed when the breath already stands behind it.
      if (tongued) tongue[start + i] = 1 - swell(i, frames, 0.016 * FAST, 1);
    }
    keyNoise(keys, start, random);
  });
  for (let i = 0; i < frames; i++) pressure[i] *= 1 + 0.02 * unsteady[i];
  const sound = playClarinet({ frequency, pressure, tongue }, FAST, random);
  for (let i = 0; i < frames; i++) sound[i] += keys[i];
  const dry = wrapTail(Float64Array.from(resample(Float32Array.from(sound), FAST, RATE)));
  // The bell and the body, and the breath's rumble taken off.
  const warm = lowPass(200, RATE);
  const body = chain(
    highPass(45, RATE),
    highPass(30, RATE),
    coloured(
      0.8,
      [
        [310, 1.2, 0.25],
        [1450, 2, 0.5],
        [2600, 2.5, 0.35],
      ],
      RATE,
    ),
    lowPass(9000, RATE),
    // The long low tube itself gives out its fundamental more strongly than the open end alone.
    (x) => 0.35 * x + 2.2 * warm(x),
  );
  return roundTheLoop(dry, body);
}

/** Pads closing on their holes and rods rattling, once a note. */
function keyNoise(keys: Float64Array, start: number, random: () => number): void {
  const pad = mode(340 + 160 * random(), 0.03, FAST);
  const rod = mode(2300 + 900 * random(), 0.02, FAST);
  const level = 0.012 + 0.012 * random();
  for (let i = 0; i < 0.06 * FAST && start + i < keys.length; i++) {
    const knock = i < 60 ? level * gaussian(random) * 0.12 : 0;
    keys[start + i] += pad(knock) + 0.3 * rod(knock);
  }
}
