/** What a rack does, measured before it is taken. */
import { describe, expect, it } from 'vitest';
import { butterworth, filtered } from '../../src/dsp/butterworth.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { rackProfile } from '../../src/measure/rack-profile.ts';
import { RackRenderer } from '../../src/render/rack-renderer.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { newStage, type Stage } from '../../src/session/document.ts';

const RATE = 48_000;
const renderer = new RackRenderer(RATE, 4, -18);
const random = seededRandom(3);
const noise = Float32Array.from({ length: 4 * RATE }, () => 0.125 * gaussian(random));
const profile = (stages: Stage[], programme: Parameters<typeof rackProfile>[4] = null) =>
  runToEnd(rackProfile(renderer, stages, RATE, -18, programme));

describe('the profile of a rack', () => {
  it('says 1 % for a stage at 0 dB of drive, odd where the curve is even-handed (definition of drive, design notes)', () => {
    const { tones } = profile([newStage('a', 'soft-clip')]);
    expect(tones.map(({ hz }) => hz)).toEqual([60, 997, 5000]);
    for (const { thdPercent, evenDbc, oddDbc } of tones) {
      expect(thdPercent).toBeGreaterThan(0.99);
      expect(thdPercent).toBeLessThan(1.01);
      expect(oddDbc).toBeCloseTo(-40, 0);
      expect(evenDbc ?? -200).toBeLessThan(-100);
    }
    expect(profile([newStage('a', 'soft-clip', { bias: 60 })]).tones[1].evenDbc).toBeGreaterThan(-50);
  });

  it('tells bass from treble: emphasis works the highs harder, and a band colours only its own', () => {
    const [bass, , treble] = profile([newStage('a', 'soft-clip', { tilt: 9 })]).tones;
    expect(treble.thdPercent).toBeGreaterThan(3 * (bass.thdPercent ?? 0));
    const band = { band: 'between', bandFrom: 3000, bandTo: 12_000 };
    const [low, , high] = profile([newStage('a', 'soft-clip', band)]).tones;
    expect(high.thdPercent).toBeGreaterThan(100 * (low.thdPercent ?? 0));
  });

  it('measures what is added to a programme: Gaussian noise through x + c·x³ adds √6·c·σ³ (Bussgang, 1952, from memory)', () => {
    // A cubic soft clip is u − u³/3 below |u| = 1, with u = k·x; k by its third harmonic of 1 % at −18 dBFS: k²A²/12 = 1 %·(1 − k²A²/4).
    const a = 10 ** (-18 / 20);
    const kk = 0.01 / (a * a * (1 / 12 + 0.01 / 4));
    // Noise below 3 kHz, of which the cube has nothing beyond the band that comes out again.
    const low = butterworth('low-pass', 3000, RATE);
    const dull = [0, 1, 2].reduce<Float32Array>((plane) => filtered(low, plane), noise);
    const sigma = 0.02;
    const loudness = Math.sqrt(dull.reduce((sum, x) => sum + x * x, 0) / dull.length);
    const quiet = dull.map((x) => (x * sigma) / loudness);
    const { addedPercent } = profile([newStage('a', 'soft-clip', { curve: 'cubic' })], {
      planes: [quiet],
      span: [RATE, 4 * RATE],
    });
    const c = kk / 3;
    const expected = (100 * Math.sqrt(6) * c * sigma ** 2) / (1 - 3 * c * sigma ** 2);
    expect((addedPercent ?? 0) / expected).toBeGreaterThan(0.95);
    expect((addedPercent ?? 0) / expected).toBeLessThan(1.05);
  });

  it('says nothing of a programme that isn’t there or silent, and an empty rack does nothing', () => {
    expect(profile([newStage('a', 'triode')]).addedPercent).toBeNull();
    const silence = { planes: [new Float32Array(RATE)], span: [0, RATE] as const };
    expect(profile([newStage('a', 'soft-clip')], silence).addedPercent).toBeNull();
    const { tones, addedPercent } = profile([], { planes: [noise], span: [0, RATE] });
    expect(tones.every(({ thdPercent }) => (thdPercent ?? 0) < 1e-4)).toBe(true);
    expect(addedPercent).toBeLessThan(0.01);
  });
});
