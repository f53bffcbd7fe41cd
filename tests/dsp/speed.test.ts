/** Guards against an order of magnitude, not a benchmark: the limits leave room for slow and busy machines. */
import { expect, it } from 'vitest';
import { blockEnergies } from '../../src/dsp/loudness.ts';
import { measure } from '../../src/dsp/measure.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';

const RATE = 48_000;
const SECONDS = 24;

function stereoNoise(): Float32Array[] {
  const random = seededRandom(1);
  return [0, 1].map(() => {
    let low = 0;
    return Float32Array.from({ length: SECONDS * RATE }, () => {
      low += 0.2 * (gaussian(random) - low);
      return Math.max(-0.9, Math.min(0.9, 0.5 * low));
    });
  });
}

/** Shortest of five runs in milliseconds. */
function shortest(run: () => unknown): number {
  let best = Infinity;
  for (let i = 0; i < 5; i++) {
    const start = performance.now();
    run();
    best = Math.min(best, performance.now() - start);
  }
  return best;
}

it('measures 24 s in stereo at well over 60 times real time, and its block energies in under 80 ms', () => {
  const signal = stereoNoise();
  const blocks = shortest(() => blockEnergies(signal, RATE));
  const whole = shortest(() => measure(signal, RATE));
  console.log(
    `24 s stereo: block energies ${blocks.toFixed(1)} ms; all figures ${whole.toFixed(1)} ms, ` +
      `${((1000 * SECONDS) / whole).toFixed(0)} times real time`,
  );
  expect(blocks).toBeLessThan(80);
  expect(whole).toBeLessThan((1000 * SECONDS) / 60);
});
