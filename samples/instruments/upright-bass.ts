import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { chain, highPass, lowPass, mode } from '../models/filters.ts';
import { RATE, roundTheLoop, withTail, wrapTail } from '../models/loop.ts';
import { addPluck } from '../models/plucked-string.ts';
import { frequencyOf, notesOf, UPRIGHT_BASS } from '../score.ts';
import { lateness } from './gesture.ts';

/** The body: its air, its top and back, its bridge. Hz, time to fall by 60 dB in s, gain. */
const BODY: [number, number, number][] = [
  [61, 0.16, 0.5],
  [98, 0.13, 0.55],
  [117, 0.11, 0.4],
  [163, 0.1, 0.36],
  [214, 0.08, 0.3],
  [287, 0.06, 0.24],
  [390, 0.05, 0.2],
  [545, 0.04, 0.17],
  [760, 0.03, 0.14],
  [1120, 0.022, 0.12],
];

/** The upright bass, dry: plucked strings on a body, with the fingers' noises on string and fingerboard. */
export function uprightBass(seed: number): Float64Array {
  const random = seededRandom(seed);
  const bridge = withTail();
  const fingers = withTail();
  for (const note of notesOf(UPRIGHT_BASS)) {
    const start = Math.max(0, Math.round((note.start + 0.004 + lateness(random)) * RATE));
    // The left hand lets go a little before it goes on.
    const length = Math.round((note.length - 0.045) * RATE);
    const frequency = frequencyOf(note.pitch) * 2 ** ((2 * gaussian(random)) / 1200);
    const force = Math.min(1, note.strength ** 1.5 * (1 + 0.06 * gaussian(random)));
    addPluck(bridge, RATE, { start, length, frequency, force }, random);
    fingerNoise(fingers, start, force, random);
  }
  return addBody(wrapTail(bridge), wrapTail(fingers));
}

/** A click where the string slaps back on the fingerboard, a brush as the finger lets go. */
function fingerNoise(out: Float64Array, start: number, force: number, random: () => number): void {
  const slap = mode(1650 + 500 * random(), 0.018, RATE);
  const wood = mode(420 + 90 * random(), 0.035, RATE);
  const brush = lowPass(3800, RATE);
  for (let i = 0; i < 0.05 * RATE && start + i < out.length; i++) {
    const t = i / RATE;
    const skin = brush(gaussian(random)) * Math.exp(-t / 0.004) * 0.05 * force;
    const knock = i >= 90 && i < 120 ? 0.16 * force * force * (0.5 + random()) * 0.1 : 0;
    out[start + i] += skin + 0.7 * slap(knock) + wood(knock);
  }
}

/** What the bridge feels, and what the body makes of it. */
function addBody(string: Float64Array, noise: Float64Array): Float64Array {
  // The plucked corner runs round as a pulse; the bridge feels the string's slope, a step: the pulse's running sum.
  const slope = roundTheLoop(string, lowPass(75, RATE));
  const force = string.map((pulse, i) => 6 * slope[i] + 0.1 * pulse + noise[i]);
  const parts = BODY.map(([f, t60, gain]) => ({
    // A mode of amplitude 1 has a gain of t60·fs/13.8 at its resonance; taken out here.
    ring: mode(f, t60, RATE),
    gain: (gain * 13.8) / (t60 * RATE),
  }));
  const microphone = chain(highPass(28, RATE), highPass(22, RATE), lowPass(4500, RATE));
  return roundTheLoop(force, (x) => {
    let y = 0.55 * x;
    for (const { ring, gain } of parts) y += gain * ring(x);
    return microphone(y);
  });
}
