/** The harmonic set: levels come out as set (DLMF 18.5.1: Tₙ(cos θ) = cos nθ), and the curve stays well-behaved. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CircuitProbe, circuitInputs } from '../../src/engine/circuit-probe.ts';
import { harmonicSet } from '../../src/engine/stages/harmonic-set.ts';
import { freshKernels, stage } from '../support/rig.ts';
import { dbcOf, steadyTone } from '../support/steady-tone.ts';

const ORDERS = [2, 3, 4, 5, 6, 7] as const;
/** The same sets in every run. */
const RUNS = { numRuns: 200, endOnFailure: true, seed: 20 };
const kernels = freshKernels();
const off = Object.fromEntries(ORDERS.map((n) => [`h${n}`, -100]));

describe('levels at the alignment level', () => {
  it.each(ORDERS)('H%s alone comes out as set, and nothing else does', (order) => {
    for (const dbc of [-20, -43, -60]) {
      const measured = steadyTone([stage('harmonic-set', { ...off, [`h${order}`]: dbc })]);
      expect(Math.abs(dbcOf(measured, order) - dbc), `${dbc}`).toBeLessThan(0.01);
      // A sine that touches the alignment peak exactly may overshoot it by rounding and the filters' 1e-6 of ripple.
      for (const n of ORDERS) if (n !== order) expect(dbcOf(measured, n), `H${n}`).toBeLessThan(-100);
    }
  });

  it('all together come out as set, with the phases of one curve', () => {
    const levels = { h2: -40, h3: -45, h4: -55, h5: -60, h6: -65, h7: -70 };
    const measured = steadyTone([stage('harmonic-set', levels)]);
    for (const n of ORDERS) expect(Math.abs(dbcOf(measured, n) - levels[`h${n}`]), `H${n}`).toBeLessThan(0.01);
  });

  it('follows the alignment level', () => {
    const measured = steadyTone([stage('harmonic-set', { ...off, h3: -40 })], { dbfs: -12, alignmentDbfs: -12 });
    expect(Math.abs(dbcOf(measured, 3) + 40)).toBeLessThan(0.01);
  });
});

describe('beyond the alignment peak', () => {
  const anySet = fc.tuple(...ORDERS.map(() => fc.double({ min: -100, max: -20, noNaN: true })));

  function curveOf(levels: readonly number[]) {
    const params = Object.fromEntries(ORDERS.map((n, i) => [`h${n}`, levels[i]]));
    const { values } = stage('harmonic-set', params);
    const circuit = harmonicSet.circuit(values);
    const probe = new CircuitProbe(kernels);
    probe.load(circuit, circuitInputs(circuit, values));
    const { prepared } = probe;
    const all = (points: number[]) => Array.from(probe.added(points), (added, i) => points[i] + added);
    return { all, f: (u: number) => all([u])[0], lambda: Math.max(prepared[11], prepared[15]) };
  }

  it('goes on in one direction on either side and stays bounded', () => {
    fc.assert(
      fc.property(anySet, (levels) => {
        const { f, all } = curveOf(levels);
        for (const side of [1, -1]) {
          const steps = all(Array.from({ length: 400 }, (_, i) => side * 1.03 ** i));
          const direction = Math.sign(steps[1] - steps[0]) || 1;
          const rises = steps.slice(1).map((step, i) => (step - steps[i]) * direction);
          expect(Math.min(...rises)).toBeGreaterThan(-1e-9);
          // f′ falls at least as fast as t⁻², so what is left beyond 1e4 is little.
          expect(Math.abs(f(side * 1e9) - f(side * 1e5))).toBeLessThan(1e-2 * Math.max(1, Math.abs(f(side * 1e5))));
        }
      }),
      RUNS,
    );
  });

  it('is continuous in value, slope and curvature at the peak', () => {
    fc.assert(
      fc.property(anySet, fc.constantFrom(1, -1), (levels, side) => {
        const { f, lambda } = curveOf(levels);
        // A nearly flat edge bends within 1/λ: beyond 100 the differences below lose it in rounding.
        fc.pre(lambda < 100);
        const h = 1e-4 / lambda;
        const at = (t: number) => f(side * (1 + t));
        // One-sided differences of third order from within and from beyond.
        const slope = (s: number) =>
          (s * (-11 * at(0) + 18 * at(s * h) - 9 * at(2 * s * h) + 2 * at(3 * s * h))) / (6 * h);
        const bend = (s: number) => (2 * at(0) - 5 * at(s * h) + 4 * at(2 * s * h) - at(3 * s * h)) / h ** 2;
        expect(Math.abs(at(1e-12) - at(-1e-12))).toBeLessThan(1e-9);
        expect(Math.abs(slope(1) - slope(-1))).toBeLessThan(1e-4 * Math.max(1, Math.abs(slope(-1))));
        expect(Math.abs(bend(1) - bend(-1))).toBeLessThan(2e-2 * Math.max(1, Math.abs(bend(-1))));
      }),
      RUNS,
    );
  });
});
