/** The figures of one side, and the limiting that a delivery level would ask for. */
import { describe, expect, it } from 'vitest';
import { sine } from '../../src/dsp/tones.ts';
import { dbToGain } from '../../src/dsp/units.ts';
import { sideFigures } from '../../src/measure/side-figures.ts';

const RATE = 48000;
const tone = (dbfs: number) => Float32Array.from(sine(4 * RATE, RATE, 997, dbToGain(dbfs)));

describe('sideFigures', () => {
  it('moves levels by a gain as if the samples had been moved', () => {
    const moved = sideFigures([tone(-20)], RATE, -6.5);
    const direct = sideFigures([tone(-26.5)], RATE);
    for (const key of [
      'integratedLufs',
      'truePeakDbtp',
      'positivePeakDbfs',
      'negativePeakDbfs',
      'plrDb',
      'limitingDb',
    ] as const) {
      expect(moved[key], key).toBeCloseTo(direct[key] ?? Number.NaN, 2);
    }
  });

  // At −14 LUFS a sound's true peak stands at −14 + PLR; what of it lies above −1 dBTP must be limited.
  it('asks for no limiting of a tone, and for what stands out of a peaky sound', () => {
    // A sine on both sides has a PLR of 0 (docs/reference-values.md, section 7).
    expect(sideFigures([tone(-20), tone(-20)], RATE).limitingDb).toBe(0);
    const peaky = tone(-30);
    peaky[2 * RATE] = 1;
    const { plrDb, limitingDb } = sideFigures([peaky], RATE);
    expect(plrDb).toBeCloseTo(30, 0);
    expect(limitingDb).toBeCloseTo((plrDb ?? 0) - 13, 9);
  });

  it('has nothing to say about silence', () => {
    const { dcDbfs: _, ...figures } = sideFigures([new Float32Array(RATE)], RATE);
    expect(Object.values(figures)).toEqual(Object.values(figures).map(() => null));
  });
});
