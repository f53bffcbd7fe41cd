/** What a stage's face shows, computed from its settings, against the engine that plays it. */
import { describe, expect, it } from 'vitest';
import { findStageKind, stageKinds } from '../../src/engine/stages/catalogue.ts';
import { curveRange, stageFace } from '../../src/measure/stage-face.ts';
import { stage } from '../support/rig.ts';
import { dbcOf, steadyTone } from '../support/steady-tone.ts';
import { stageOf } from './sessions.ts';

const SETTINGS: [kind: string, params: Record<string, number | string>][] = [
  ['soft-clip', {}],
  ['soft-clip', { drive: 8, bias: 40, trimIn: 3 }],
  ['soft-clip', { curve: 'algebraic', knee: 4, drive: 6, trimIn: -2 }],
  ['soft-clip', { drive: 10, blend: 40 }],
  ['harmonic-set', { h2: -30, h3: -36, h5: -50 }],
  ['harmonic-set', { drive: -6, trimIn: 4 }],
  ['diode-pair', { drive: 4, bias: 20 }],
];

describe('stageFace', () => {
  it.each(SETTINGS)('shows the harmonics that the engine makes: %s %o', (kind, params) => {
    const face = stageFace(stageOf(kind, params), -18);
    const measured = steadyTone([stage(kind, params)]);
    for (const { n, dbc } of face?.harmonics ?? []) {
      const heard = dbcOf(measured, n);
      if (Math.max(dbc ?? -140, heard) < -80) continue;
      expect(Math.abs((dbc ?? -140) - heard), `harmonic ${n}: ${dbc} shown, ${heard} played`).toBeLessThan(0.02);
    }
    expect(face?.thdPercent).toBeCloseTo(100 * (measured.thdF ?? 0), 2);
  });

  it.each(stageKinds.map(({ id }) => [id]))('reaches 1 %% at the operating level at its defaults: %s', (kind) => {
    for (const alignment of [-18, -24]) {
      const face = stageFace(stageOf(kind), alignment);
      expect(face?.thdPercent).toBeCloseTo(1, 2);
      expect(face?.onePercentDbfs).toBeCloseTo(alignment, 1);
    }
  });

  it('says what a bias makes of the amount', () => {
    const plain = stageFace(stageOf('soft-clip', { drive: 2 }), -18);
    const biased = stageFace(stageOf('soft-clip', { drive: 2, bias: 60 }), -18);
    expect(plain?.unbiasedThdPercent).toBeNull();
    expect(biased?.unbiasedThdPercent).toBeCloseTo(plain?.thdPercent ?? 0, 9);
    expect(biased?.thdPercent).toBeGreaterThan(2 * (plain?.thdPercent ?? 0));
  });

  it('draws a curve through the origin with slope 1, both axes alike', () => {
    for (const { id } of stageKinds) {
      const { curveX: x, curveY: y } = stageFace(stageOf(id, { drive: -12 }), -18) ?? { curveX: [], curveY: [] };
      const middle = (x.length - 1) / 2;
      expect(x[middle]).toBe(0);
      expect(y[middle]).toBeCloseTo(0, 12);
      // The middle of a loop lies as much lower as it costs at that level.
      const isCurve = findStageKind(id)?.circuits.every((circuit) => circuit.isCurve);
      expect((y[middle + 1] - y[middle - 1]) / (x[middle + 1] - x[middle - 1])).toBeCloseTo(1, isCurve ? 2 : 1);
      expect(x.at(-1)).toBeCloseTo(curveRange(-18), 12);
    }
  });

  it('is not given for a kind that this version does not know', () => {
    expect(stageFace({ id: 'x', kind: 'unheard-of', on: true, params: {}, notes: '' }, -18)).toBeNull();
  });
});
