/** The stack table: chain identities of docs/reference-values.md, section 3, through the real engine. */
import { describe, expect, it } from 'vitest';
import { gainToDb } from '../../../src/dsp/units.ts';
import { runBench } from '../../support/bench.ts';
import { rootSeries } from '../../support/closed-series.ts';
import { drivenTo } from '../../support/curve-drive.ts';
import { polynomialLine } from '../../support/polynomial-pair.ts';
import { stage } from '../../support/rig.ts';

const OFF = { h2: -100, h3: -100, h4: -100, h5: -100, h6: -100, h7: -100 };

describe('stages in series', () => {
  it('two mild cubics make +6.02 dB of third-order products (a → 0)', () => {
    const mild = drivenTo('soft-clip', { curve: 'cubic' }, 0.05);
    const { stack, harmonics } = runBench('stack', [mild, { ...mild, key: 'second' }]);
    const row = stack?.rows.find(({ label }) => label === '2f1 + f2');
    expect(row?.order).toBe(3);
    expect((row?.dbc[1] ?? 0) - (row?.dbc[0] ?? 0)).toBeCloseTo(6.02, 1);
    const [first, second] = stack?.columns ?? [];
    expect(20 * Math.log10((second.thdFPercent ?? 0) / (first.thdFPercent ?? 1))).toBeCloseTo(6.02, 1);
    // And the whole stack's own tone stands at the top of the result.
    expect(second.thdFPercent).toBeCloseTo(100 * 10 ** ((harmonics[1].dbc ?? 0) / 20), 5);
  });

  it('n stages x/√(1 + x²) are x/√(1 + n·x²)', () => {
    // DC coupled: three couplings turn 220 Hz further than one, and weak products are small differences.
    const one = drivenTo('soft-clip', { curve: 'algebraic', knee: 2, coupling: 'dc' }, 0.7);
    const stages = Array.from({ length: 3 }, (_, index) => ({ ...one, key: `stage ${index}` }));
    const { stack } = runBench('stack', stages);
    [1, 2, 3].forEach((count) => {
      const b = rootSeries(0.7, count);
      const expected = (100 * Math.hypot(...b.slice(1))) / b[0];
      expect((stack?.columns[count - 1].thdFPercent ?? 0) / expected, `${count} stages`).toBeCloseTo(1, 4);
    });
    // So √3 times the drive in one stage is the same, +4.77 dB.
    const driven = stack?.columns[stack.oneStage ?? -1];
    const drive = one.values[1];
    expect((driven?.driveDb ?? 0) - drive).toBeCloseTo(gainToDb(Math.sqrt(3)), 2);
    for (const { label, dbc } of stack?.rows ?? []) {
      if (dbc[2] === null || dbc[2] < -100) continue;
      expect(Math.abs((dbc[3] ?? 0) - dbc[2]), label).toBeLessThan(0.01);
    }
    expect(stack?.rows.length).toBeGreaterThan(10);
  });
});

describe('the same drive in one stage', () => {
  it('is the first kind at the drive that gives the same THD_F of the tone', () => {
    const { stack, thdFPercent, notes } = runBench('stack', [
      stage('soft-clip', { drive: -3 }),
      stage('harmonic-set'),
      stage('diode-pair', { drive: -2 }),
    ]);
    const one = stack?.columns[3];
    expect(one?.kind).toBe('soft-clip');
    expect(stack?.oneStage).toBe(3);
    expect((one?.thdFPercent ?? 0) / (thdFPercent ?? 1)).toBeCloseTo(1, 3);
    // A symmetrical curve has no even-order products, the stack has: that's the difference to be seen.
    const row = stack?.rows.find(({ label }) => label === 'f2 − f1');
    expect(row?.dbc[2] ?? -Infinity).toBeGreaterThan(-50);
    expect(row?.dbc[3] ?? -Infinity).toBeLessThan(-120);
    expect(notes).toEqual([]);
  });

  it('says why there is none', () => {
    const linear = runBench('stack', [stage('soft-clip', { blend: 0 }), stage('diode-pair', { blend: 0, trimOut: 3 })]);
    expect(linear.stack?.oneStage).toBeNull();
    expect(linear.notes).toEqual([expect.stringMatching(/adds nothing/)]);
    expect(linear.stack?.rows).toEqual([]);
    const tooMuch = runBench('stack', [stage('harmonic-set', { ...OFF, h2: -90 }), stage('soft-clip', { drive: 24 })]);
    expect(tooMuch.stack?.oneStage).toBeNull();
    expect(tooMuch.notes).toEqual([expect.stringMatching(/can't make as much/)]);
  });

  it('leaves out stages that are off', () => {
    const { stack } = runBench('stack', [stage('soft-clip', {}, false), stage('harmonic-set')]);
    expect(stack?.columns.map(({ kind }) => kind)).toEqual(['harmonic-set', 'harmonic-set']);
    expect(stack?.columns[1].driveDb).toBeCloseTo(0, 2);
  });
});

describe('interaction of two inputs of a bus', () => {
  it('of a quadratic in the engine: 2·a₂·a·b, f1 + f2 and f2 − f1 and nothing else above −90 dBc', () => {
    const level = 20 * Math.log10(0.025);
    const { stack, tones } = runBench('stack', [stage('harmonic-set', { ...OFF, h2: level })]);
    const { lines, totalDbc } = stack?.interaction ?? { lines: [], totalDbc: null };
    expect(lines.map(({ label }) => label).sort()).toEqual(['f1 + f2', 'f2 − f1']);
    const expected = gainToDb(polynomialLine([0, 1, 0.05], 0.5, 0.5, 1, 1) / 0.5);
    for (const { dbc } of lines) expect(dbc).toBeCloseTo(expected, 2);
    expect(totalDbc).toBeCloseTo(expected + 10 * Math.log10(2), 2);
    expect(tones[0].inDbfs).toBeCloseTo(-18 - 6.0206, 3);
  });

  it('of a linear rack: nothing', () => {
    const { stack } = runBench('stack', [stage('soft-clip', { blend: 0, trimOut: -4 })]);
    expect(stack?.interaction.lines).toEqual([]);
    expect(stack?.interaction.totalDbc ?? -Infinity).toBeLessThan(-130);
  });
});
