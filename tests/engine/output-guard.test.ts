import { describe, expect, it } from 'vitest';
import { measureLoudness } from '../../src/dsp/loudness.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { truePeak } from '../../src/dsp/true-peak.ts';
import { dbToGain } from '../../src/dsp/units.ts';
import { GUARD_CEILING_DBTP, GUARD_LATENCY, OutputGuard } from '../../src/engine/output-guard.ts';

const RATE = 48000;
const BLOCK = 128;
type Pair = readonly [Float32Array, Float32Array];

const scaled = (pair: Pair, gain: number): Pair => [pair[0].map((x) => gain * x), pair[1].map((x) => gain * x)];

function noise(length: number, seed: number): Float32Array {
  const random = seededRandom(seed);
  return Float32Array.from({ length }, () => 0.3 * gaussian(random));
}

/** What comes out when `heard` plays and `a` and `b` stand on the switch. */
function guarded(heard: Pair, sides: readonly Float32Array[] = []): { out: Pair; reductionDb: number } {
  const guard = new OutputGuard(RATE);
  const out: Pair = [heard[0].slice(), heard[1].slice()];
  let reductionDb = 0;
  for (let at = 0; at < out[0].length; at += BLOCK) {
    const to = Math.min(out[0].length, at + BLOCK);
    const block = sides.map((plane) => plane.subarray(at, to));
    guard.process(out[0], out[1], at, to, block);
    reductionDb = Math.max(reductionDb, guard.takeReductionDb());
  }
  return { out, reductionDb };
}

describe('the output guard', () => {
  const left = noise(2 * RATE, 1);
  const right = noise(2 * RATE, 2);
  const quiet: Pair = scaled([left, right], dbToGain(-12));
  const hot: Pair = scaled([left, right], 1.6);

  it('is a bit-exact delay while nothing comes near the ceiling, whichever side is watched', () => {
    const { out, reductionDb } = guarded(quiet, [...quiet, ...quiet]);
    expect(reductionDb).toBe(0);
    expect(out[0].subarray(GUARD_LATENCY)).toEqual(quiet[0].subarray(0, -GUARD_LATENCY));
    expect(out[1].subarray(GUARD_LATENCY)).toEqual(quiet[1].subarray(0, -GUARD_LATENCY));
  });

  it('keeps true peaks under its ceiling (BS.1770-5 annex 2, by the project’s own meter)', () => {
    const { out, reductionDb } = guarded(hot);
    expect(reductionDb).toBeGreaterThan(1);
    // A gain that moves between two samples may leave a little more between them.
    expect(truePeak(out, RATE).dbtp).toBeLessThan(GUARD_CEILING_DBTP + 0.1);
  });

  it('turns both sides down alike, whichever is heard', () => {
    const cool = scaled(hot, dbToGain(-11));
    const sides = [...hot, ...cool];
    const lufs = (pair: Pair) => measureLoudness(pair, RATE).integratedLufs as number;
    const heard = [guarded(hot, sides), guarded(cool, sides)];
    expect(heard[0].reductionDb).toBe(heard[1].reductionDb);
    // 11 dB apart before the guard, 11 dB apart behind it.
    expect(lufs(heard[0].out) - lufs(heard[1].out)).toBeCloseTo(11, 3);
    // Without a look at the other side the cool one isn't touched: the sides come nearer than they are.
    expect(guarded(cool).reductionDb).toBe(0);
  });

  it('follows the monitor level: what is turned down needs no guard', () => {
    const guard = new OutputGuard(RATE);
    guard.setMonitor(dbToGain(-12));
    const settle = [new Float32Array(RATE), new Float32Array(RATE)];
    guard.process(settle[0], settle[1], 0, RATE, [...settle, ...settle]);
    const out = [hot[0].slice(), hot[1].slice()];
    guard.process(out[0], out[1], 0, out[0].length, [...hot, ...hot]);
    expect(guard.takeReductionDb()).toBe(0);
  });
});
