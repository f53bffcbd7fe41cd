/**
 * Two tones through the real engine. The harmonic set is a polynomial up to the alignment peak, so that SMPTE and
 * difference figures follow from its coefficients by the binomial theorem (docs/reference-values.md, section 4 and the
 * two-tone table of section 3).
 */
import { describe, expect, it } from 'vitest';
import { circuitInputs, circuitProbe } from '../../../src/engine/circuit-probe.ts';
import { harmonicSet } from '../../../src/engine/stages/harmonic-set.ts';
import type { BenchResult } from '../../../src/measure/tone-bench/result.ts';
import { runBench } from '../../support/bench.ts';
import { polynomialLine } from '../../support/polynomial-pair.ts';
import { stage } from '../../support/rig.ts';

const OFF = { h2: -100, h3: -100, h4: -100, h5: -100, h6: -100, h7: -100 };
const dB = (ratio: number) => 20 * Math.log10(Math.abs(ratio));

/** Only these harmonics, DC coupled, so that nothing but the polynomial counts. */
const set = (levels: Partial<typeof OFF>) => stage('harmonic-set', { ...OFF, ...levels, coupling: 'dc' });

/** y = x + a₂x² + … + a₇x⁷ in knee units, where the alignment peak is 1; by the kernel itself. */
function coefficients(levels: Partial<typeof OFF>): number[] {
  const { values } = set(levels);
  const circuit = harmonicSet.circuit(values);
  const probe = circuitProbe();
  probe.load(circuit, circuitInputs(circuit, values));
  return [0, 1, ...probe.prepared.slice(2, 8)];
}

describe('a quadratic of a₂ = 0.05 in the engine (H2 of a₂/2)', () => {
  const levels = { h2: dB(0.025) };
  it('is what the stage is', () => {
    expect(coefficients(levels)).toEqual([0, 1, expect.closeTo(0.05, 12), 0, 0, 0, 0, 0]);
  });
  it.each([44_100, 48_000, 96_000])('gives d_m2 8.0000 per cent and d_d2 1.2500 per cent at %i Hz', (sampleRate) => {
    const smpte = runBench('smpte', [set(levels)], {}, { sampleRate });
    expect(smpte.dm2Percent).toBeCloseTo(8, 3);
    expect(smpte.dm3Percent ?? 1).toBeLessThan(1e-4);
    expect([smpte.dd2Percent, smpte.dd3Percent, smpte.thdFPercent, smpte.thdNPercent]).toEqual([
      null,
      null,
      null,
      null,
    ]);
    // The over-sampler's band ends at 20/48 of the rate, below the usual pair at 44.1 kHz; 14 + 15 kHz is in use too.
    const pair: Record<string, number> = sampleRate === 44_100 ? { f1: 14_000, f2: 15_000 } : {};
    const difference = runBench('difference', [set(levels)], pair, { sampleRate });
    expect(difference.dd2Percent).toBeCloseTo(1.25, 3);
    expect(difference.dd3Percent ?? 1).toBeLessThan(1e-4);
    expect([difference.dm2Percent, difference.dm3Percent]).toEqual([null, null]);
    // In dBc, f2 − f1 and what the AC-less stage leaves at DC: a₂(A² + B²)/2 of the alignment peak.
    expect(difference.dcDbfs).toBeCloseTo(dB(0.05 * 0.25) - 18, 2);
  });
});

describe('a cubic in the engine (H3)', () => {
  it('gives d_m3 and d_d3 of its own coefficient', () => {
    const levels = { h3: -38 };
    const a = coefficients(levels);
    expect(a[3]).toBeLessThan(0);
    const line = (first: number, second: number, m: number, n: number) =>
      Math.abs(polynomialLine(a, first, second, m, n));
    const smpte = runBench('smpte', [set(levels)]);
    const dm3 = (2 * line(0.8, 0.2, 2, 1)) / line(0.8, 0.2, 0, 1);
    expect(smpte.dm3Percent).toBeCloseTo(100 * dm3, 3);
    expect(smpte.dm2Percent ?? 1).toBeLessThan(1e-4);
    const difference = runBench('difference', [set(levels)], { f1: 14_000, f2: 15_000 });
    const dd3 = (line(0.5, 0.5, 2, -1) + line(0.5, 0.5, -1, 2)) / (2 * line(0.5, 0.5, 0, 1));
    expect(difference.dd3Percent).toBeCloseTo(100 * dd3, 3);
    // At 19 + 20 kHz one of the two lines stands at 21 kHz, above the over-sampler's band.
    const high = runBench('difference', [set(levels)]).dd3Percent ?? 0;
    expect(Math.abs(dB(high / (100 * dd3)))).toBeLessThan(0.01);
  });
});

describe('all of the harmonic set', () => {
  const levels = { h2: -40, h3: -45, h4: -52, h5: -58, h6: -60, h7: -62 };
  const a = coefficients(levels);

  /** Every product of the result against the binomial theorem; returns how many there were. */
  function compare(result: BenchResult, first: number, second: number): number {
    const [low, high] = result.tones;
    const reference = polynomialLine(a, first, second, 0, 1);
    for (const { label, dbc, order, hz } of result.products) {
      const [m, n] = termsOf(label);
      expect(order, label).toBe(Math.abs(m) + Math.abs(n));
      expect(hz, label).toBeCloseTo(m * low.hz + n * high.hz, 6);
      const expected = dB(polynomialLine(a, first, second, m, n) / reference);
      if (expected < -100) continue;
      // 20 kHz is where the over-sampler's band ends.
      if (hz < 20_000) expect(Math.abs(dbc - expected), `${label} ${dbc} against ${expected}`).toBeLessThan(0.01);
    }
    return result.products.length;
  }

  it('SMPTE: every product above −100 dBc within 0.01 dB', () => {
    const result = runBench('smpte', [set(levels)]);
    expect(compare(result, 0.8, 0.2)).toBeGreaterThan(25);
    const sidebands = polynomialLine(a, 0.8, 0.2, 1, 1) + polynomialLine(a, 0.8, 0.2, -1, 1);
    expect(result.dm2Percent).toBeCloseTo((100 * Math.abs(sidebands)) / polynomialLine(a, 0.8, 0.2, 0, 1), 3);
    expect(result.fundamentalDbfs).toBeCloseTo(dB(polynomialLine(a, 0.8, 0.2, 0, 1)) - 18, 3);
  });

  it('a pair of one’s own, 2:1 at −24 dBFS', () => {
    const result = runBench('difference', [set(levels)], { f1: 500, f2: 1700, ratio: 2, level: -24 });
    const peak = 10 ** (-6 / 20);
    expect(compare(result, (peak * 2) / 3, peak / 3)).toBeGreaterThan(25);
    expect(result.tones[0].inDbfs - result.tones[1].inDbfs).toBeCloseTo(dB(2), 9);
  });

  it('difference tones: products above half the rate are gone in the engine, not folded', () => {
    const result = runBench('difference', [set(levels)]);
    // Without over-sampling f1 + f2 would stand at 9 kHz with −46 dBc.
    expect(result.foldedProducts).toEqual([]);
    expect(result.aliasDbc ?? 0).toBeLessThan(-110);
    expect(result.products.every(({ hz }) => hz < 24_000)).toBe(true);
  });
});

/** "2f2 − 3f1" to [−3, 2]. */
function termsOf(label: string): [number, number] {
  const counts: [number, number] = [0, 0];
  for (const [, sign, count, tone] of label.matchAll(/(−?)\s*(\d*)f([12])/g)) {
    counts[Number(tone) - 1] = (sign === '−' ? -1 : 1) * (count === '' ? 1 : Number(count));
  }
  return counts;
}
