import { describe, expect, it } from 'vitest';
import { analyseHarmonics, spectralLine } from '../../src/dsp/harmonics.ts';
import { sine, snapFrequency } from '../../src/dsp/tones.ts';
import { near } from './near.ts';

const RATE = 48_000;
const SIZE = 16_384;

describe('analyseHarmonics', () => {
  const f0 = snapFrequency(997, RATE, SIZE);

  it('reads peak level, and nothing in a pure tone', () => {
    const result = analyseHarmonics(sine(SIZE, RATE, f0, 0.5, 0.3), RATE, f0, 10);
    near(result.fundamentalDbfs, -6.0206, 1e-4);
    near(result.dc, 0, 1e-14);
    expect(result.thdF as number).toBeLessThan(1e-13);
    expect(result.aliasDbc as number).toBeLessThan(-260);
    expect(result.harmonics.map(({ n }) => n)).toEqual([2, 3, 4, 5, 6, 7, 8, 9, 10]);
  });

  it('gives orders from half the rate on as null', () => {
    const high = snapFrequency(7000, RATE, SIZE);
    const { harmonics } = analyseHarmonics(sine(SIZE, RATE, high).map(Math.tanh), RATE, high, 5);
    expect(harmonics.map(({ dbc }) => dbc === null)).toEqual([false, false, true, true]);
    expect(harmonics.map(({ phaseDeg }) => phaseDeg === null)).toEqual([false, false, true, true]);
  });

  it('gives phases that do not depend on where the tone starts', () => {
    const curve = (x: number) => x + 0.1 * x * x - 0.1 * x ** 3;
    for (const phase of [0, 0.4, 2, -3]) {
      const { harmonics } = analyseHarmonics(sine(SIZE, RATE, f0, 0.5, phase).map(curve), RATE, f0, 3);
      near(harmonics[0].phaseDeg, -90, 1e-6);
      near(harmonics[1].phaseDeg, 0, 1e-6);
    }
    const opposite = analyseHarmonics(
      sine(SIZE, RATE, f0, 0.5, 1).map((x) => x + 0.1 * x ** 3),
      RATE,
      f0,
      3,
    );
    near(Math.abs(opposite.harmonics[1].phaseDeg as number), 180, 1e-6);
  });

  it('sums the aliases inside the band only', () => {
    const high = snapFrequency(9000, RATE, SIZE);
    const tone = sine(SIZE, RATE, high, 1, Math.PI / 2);
    // Order 5 of 9 kHz folds from 45 to 3 kHz, order 3 from 27 to 21 kHz.
    const folded = tone.map((x) => x + 0.01 * Math.cos(5 * Math.acos(Math.max(-1, Math.min(1, x)))));
    near(analyseHarmonics(folded, RATE, high, 10).aliasDbc, -40, 1e-6);
    const beyond = tone.map((x) => x + 0.01 * (4 * x ** 3 - 3 * x));
    expect(analyseHarmonics(beyond, RATE, high, 10).aliasDbc as number).toBeLessThan(-200);
    near(analyseHarmonics(beyond, RATE, high, 10, { low: 20, high: 24_000 }).aliasDbc, -40, 1e-6);
  });

  it('has no figures without a fundamental', () => {
    const result = analyseHarmonics(new Float64Array(SIZE), RATE, f0, 3);
    expect(result).toEqual({
      fundamentalDbfs: null,
      fundamentalAmplitude: 0,
      harmonics: [
        { n: 2, dbc: null, phaseDeg: null },
        { n: 3, dbc: null, phaseDeg: null },
      ],
      thdF: null,
      thdR: null,
      dc: 0,
      aliasDbc: null,
    });
  });

  it('refuses tones without whole periods and lengths the transform cannot take', () => {
    expect(() => analyseHarmonics(new Float64Array(SIZE), RATE, 997, 3)).toThrow(RangeError);
    expect(() => analyseHarmonics(new Float64Array(1000), RATE, 480, 3)).toThrow(RangeError);
    expect(() => analyseHarmonics(new Float64Array(SIZE), RATE, 0, 3)).toThrow(RangeError);
    expect(() => analyseHarmonics(new Float64Array(SIZE), RATE, 24_000, 3)).toThrow(RangeError);
  });
});

describe('spectralLine', () => {
  it('gives amplitude and sine phase at any length with whole periods', () => {
    const line = spectralLine(sine(4800, RATE, 70, 0.3, 0.7), RATE, 70);
    near(line.amplitude, 0.3, 1e-12);
    near(line.phase, 0.7, 1e-12);
    near(spectralLine(new Float64Array(100).fill(-0.2), RATE, 0).amplitude, 0.2, 1e-15);
    near(spectralLine(sine(4800, RATE, 70), RATE, 80).amplitude, 0, 1e-12);
  });
});
