/**
 * The hysteresis core after Jiles and Atherton. Values of whole loops: the usual equation for dM/dH integrated outside, by
 * DOP853 and RK4, which agree to 1e-4 (docs/reference-values.md, section 6).
 */
import { describe, expect, it } from 'vitest';
import { type Material, magnetise } from '../support/hysteresis.ts';

const steel: Material = { ms: 1.6e6, a: 1100, k: 400, alpha: 1.6e-3, c: 0.2 };
const tape: Material = { ms: 3.5e5, a: 22e3, k: 27e3, alpha: 1.6e-3, c: 0.17 };

/** Straight ramps through the turning points, each of `steps` fields. */
function ramps(turns: readonly number[], steps: number): Float64Array {
  return Float64Array.from({ length: (turns.length - 1) * steps }, (_, i) => {
    const leg = Math.floor(i / steps);
    return turns[leg] + ((turns[leg + 1] - turns[leg]) * ((i % steps) + 1)) / steps;
  });
}

const STEPS = 8000;

/** The third branch: coercive field, remanence and tip. */
function loopOf(material: Material, most: number) {
  const fields = ramps([0, most, -most, most], STEPS);
  const m = magnetise(material, fields);
  const last = (i: number) => i + 2 * STEPS;
  const cross = (values: (i: number) => number) => {
    let i = 1;
    while (values(i - 1) * values(i) > 0) i++;
    return { i, t: values(i - 1) / (values(i - 1) - values(i)) };
  };
  const between = (of: Float64Array, { i, t }: { i: number; t: number }) => of[last(i - 1)] * (1 - t) + of[last(i)] * t;
  return {
    coercive: between(
      fields,
      cross((i) => m[last(i)]),
    ),
    remanence:
      Math.abs(
        between(
          m,
          cross((i) => fields[last(i)]),
        ),
      ) / material.ms,
    tip: m[m.length - 1] / material.ms,
  };
}

const langevin = (x: number) => (Math.abs(x) < 1e-3 ? x / 3 - x ** 3 / 45 : 1 / Math.tanh(x) - 1 / x);

describe('the hysteresis core', () => {
  it('has Hc 316.15 A/m, Mr/Ms .3135 and tip .8383 with Ms 1.6e6, a 1100, k 400, α 1.6e-3, c .2 at 5 kA/m', () => {
    const { coercive, remanence, tip } = loopOf(steel, 5000);
    console.log(`hysteresis: Hc ${coercive.toFixed(2)} A/m, Mr/Ms ${remanence.toFixed(4)}, tip ${tip.toFixed(4)}`);
    expect(Math.abs(coercive / 316.15 - 1)).toBeLessThan(1e-3);
    expect(Math.abs(remanence / 0.3135 - 1)).toBeLessThan(1e-3);
    expect(Math.abs(tip / 0.8383 - 1)).toBeLessThan(1e-3);
  });

  it('has Hc 20 214.5 A/m, Mr/Ms .2606 and tip .8139 with Ms 3.5e5, a 22e3, k 27e3, α 1.6e-3, c .17 at 150 kA/m', () => {
    const { coercive, remanence, tip } = loopOf(tape, 150e3);
    console.log(`hysteresis: Hc ${coercive.toFixed(1)} A/m, Mr/Ms ${remanence.toFixed(4)}, tip ${tip.toFixed(4)}`);
    expect(Math.abs(coercive / 20214.5 - 1)).toBeLessThan(1e-3);
    expect(Math.abs(remanence / 0.2606 - 1)).toBeLessThan(1e-3);
    expect(Math.abs(tip / 0.8139 - 1)).toBeLessThan(1e-3);
  });

  it('is odd: the same fields the other way round give the same magnetisation the other way round', () => {
    const fields = ramps([0, 3000, -1000, 2500, -4000, 500], 400);
    const up = magnetise(steel, fields);
    const down = magnetise(
      steel,
      fields.map((h) => -h),
    );
    for (let i = 0; i < up.length; i++) expect(down[i]).toBe(-up[i]);
  });

  it('stays below saturation and never falls while the field rises, at any step', () => {
    for (const steps of [3, 30, 3000]) {
      for (const material of [steel, tape]) {
        const turns = [0, 1, -1, 0.2, -0.3, 30, -1e6, 1e6, -2, 0].map((t) => t * 5 * material.a);
        const fields = ramps(turns, steps);
        const m = magnetise(material, fields);
        for (let i = 1; i < m.length; i++) {
          expect(Math.abs(m[i])).toBeLessThan(material.ms);
          const way = Math.sign(fields[i] - fields[i - 1]);
          // A millionth of saturation is what the approximated Langevin function may be off.
          if (steps === 3000) expect(way * (m[i] - m[i - 1])).toBeGreaterThan(-1e-6 * material.ms);
        }
      }
    }
  });

  it('becomes the anhysteretic curve as its pinning goes to nothing', () => {
    const material = { ...tape, k: 1e-3 };
    const fields = ramps([0, 150e3, -150e3, 40e3], 2000);
    const m = magnetise(material, fields);
    for (let i = 0; i < m.length; i += 37) {
      // M = Ms·L((H + αM)/a), solved by repetition, which α·Ms/3a = 0.008 makes quick.
      let expected = 0;
      for (let n = 0; n < 20; n++) {
        expected = material.ms * langevin((fields[i] + material.alpha * expected) / material.a);
      }
      expect(Math.abs(m[i] - expected)).toBeLessThan(1e-4 * material.ms);
    }
  });

  it('closes minor loops once they have settled', () => {
    const cycles = 40;
    const turns = [0, 5000, 200, ...Array.from({ length: cycles }, () => [700, 200]).flat()];
    const m = magnetise(steel, ramps(turns, 500));
    const end = (cycle: number) => m[(2 + 2 * cycle) * 500 - 1];
    expect(Math.abs(end(cycles) - end(cycles - 1))).toBeLessThan(1e-3 * Math.abs(end(1) - end(0)) + 1e-6 * steel.ms);
    const last = m.slice(-1000);
    expect(Math.max(...last) - Math.min(...last)).toBeGreaterThan(0.01 * steel.ms);
  });

  it('computes the Langevin function to 2.5e-7: c = 1 has nothing else', () => {
    const material = { ms: 1, a: 1, k: 1, alpha: 0, c: 1 };
    const fields = Float64Array.from({ length: 4000 }, (_, i) => 10 ** (-6 + (12 * i) / 4000));
    const m = magnetise(material, fields);
    for (let i = 0; i < m.length; i++) {
      expect(Math.abs(m[i] / langevin(fields[i]) - 1), `at ${fields[i]}`).toBeLessThan(2.5e-7);
    }
    // DLMF 4.36 gives coth by its series; L(1) = 0.3130352855.
    expect(magnetise(material, Float64Array.of(1))[0]).toBeCloseTo(0.3130352855, 6);
  });
});
