import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { chain, coloured, highPass, mode } from '../models/filters.ts';
import { RATE, roundTheLoop, withTail, wrapTail } from '../models/loop.ts';
import { playMembrane, type Stroke } from '../models/membrane.ts';
import { EIGHTH, EIGHTHS_A_BAR, FRAME_DRUM } from '../score.ts';
import { lateness } from './gesture.ts';

/** The skin's lowest mode, Hz. */
const LOWEST = 92;

/** How each stroke of the score is struck; `skin` is the level of the finger's own noise. */
const STROKES: Record<string, Omit<Stroke, 'start' | 'angle'> & { skin: number }> = {
  D: { force: 1.9, contact: 0.0042, radius: 0.34, damp: 0, skin: 0.1 },
  k: { force: 0.42, contact: 0.0007, radius: 0.93, damp: 0.2, skin: 0.5 },
  K: { force: 0.6, contact: 0.0006, radius: 0.93, damp: 0.12, skin: 0.7 },
  s: { force: 0.95, contact: 0.0012, radius: 0.55, damp: 1, skin: 0.42 },
  t: { force: 0.2, contact: 0.0009, radius: 0.86, damp: 0.1, skin: 0.35 },
  r: { force: 0.34, contact: 0.0008, radius: 0.88, damp: 0.1, skin: 0.35 },
};

/** The frame drum, dry, under two microphones. */
export function frameDrum(seed: number): [Float64Array, Float64Array] {
  const random = seededRandom(seed);
  const strokes: Stroke[] = [];
  const frames = withTail().length;
  const noises = [new Float64Array(frames), new Float64Array(frames)];
  FRAME_DRUM.forEach((bar, index) => {
    [...bar].forEach((letter, sixteenth) => {
      const kind = STROKES[letter];
      if (!kind) return;
      // A roll is two fingers a sixteenth, growing; lighter off-beat sixteenths come a little late.
      const times = letter === 'r' ? [0, 0.5] : [0];
      for (const part of times) {
        const swing = sixteenth % 2 === 1 ? 0.07 : 0;
        const at = ((index * EIGHTHS_A_BAR * 2 + sixteenth + swing + part) * EIGHTH) / 2;
        const start = Math.max(0, Math.round((at + lateness(random)) * RATE));
        const growth = letter === 'r' ? 0.55 + 0.05 * (sixteenth - 10 + part) : 1;
        const force = kind.force * growth * (1 + 0.12 * gaussian(random));
        const angle = (letter === 'D' ? 0 : 1.1) + 0.4 * gaussian(random);
        const radius = Math.min(0.97, kind.radius + 0.02 * gaussian(random));
        strokes.push({ ...kind, start, force, angle, radius });
        skinNoise(noises, start, force * kind.skin, random);
        if (kind.radius > 0.8) rim(noises, start, force, random);
      }
    });
  });
  return playMembrane(strokes, LOWEST, frames, RATE).map((side, index) => {
    for (let i = 0; i < frames; i++) side[i] += noises[index][i];
    const frame = chain(
      highPass(38, RATE),
      highPass(30, RATE),
      coloured(
        0.85,
        [
          [265, 2, 0.3],
          [1900, 1.2, 0.3],
        ],
        RATE,
      ),
    );
    return roundTheLoop(wrapTail(side), frame);
  }) as [Float64Array, Float64Array];
}

/** The wooden frame's own short modes, when a finger lands at the rim. Hz, time to fall by 60 dB in s, gain. */
const FRAME: [number, number, number][] = [
  [1180, 0.09, 0.4],
  [1790, 0.075, 0.6],
  [2630, 0.055, 0.55],
  [3870, 0.04, 0.45],
  [5240, 0.03, 0.35],
];

function rim(noises: Float64Array[], start: number, force: number, random: () => number): void {
  const parts = FRAME.map(([f, t60, gain]) => ({ ring: mode(f * (1 + 0.01 * gaussian(random)), t60, RATE), gain }));
  for (let i = 0; i < 0.1 * RATE; i++) {
    const knock = i < 14 ? 0.034 * force * Math.sin((Math.PI * (i + 0.5)) / 14) : 0;
    let y = 0;
    for (const { ring, gain } of parts) y += gain * ring(knock);
    noises.forEach((noise, side) => {
      const at = start + i + (side === 0 ? 0 : 7);
      if (at < noise.length) noise[at] += y * (side === 0 ? 1 : 0.9);
    });
  }
}

/** The finger itself on the skin: a few milliseconds of bright noise, not quite alike in both microphones. */
function skinNoise(noises: Float64Array[], start: number, level: number, random: () => number): void {
  let last = 0;
  for (let i = 0; i < 0.05 * RATE; i++) {
    const t = i / RATE;
    const white = gaussian(random);
    const bright = white - 0.6 * last;
    last = white;
    const grain = 0.1 * level * bright * (0.5 * Math.exp(-t / 0.003) + 0.25 * Math.exp(-t / 0.012));
    noises.forEach((noise, side) => {
      const at = start + i + (side === 0 ? 0 : 5);
      if (at < noise.length) noise[at] += grain * (side === 0 ? 1 : 0.85);
    });
  }
}
