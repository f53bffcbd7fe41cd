/** What `pairFigures` and `interactionFigures` read from exact polynomials: docs/reference-values.md, sections 3 and 4. */
import { describe, expect, it } from 'vitest';
import { interactionFigures } from '../../../src/measure/tone-bench/interaction.ts';
import { LineSpectrum } from '../../../src/measure/tone-bench/line-spectrum.ts';
import { pairFigures } from '../../../src/measure/tone-bench/pair-figures.ts';
import { snapPair } from '../../../src/measure/tone-bench/snap-pair.ts';
import { coherentPair } from '../../../src/measure/tone-bench/window.ts';
import { polynomialAt, polynomialLine } from '../../support/polynomial-pair.ts';

const RATE = 48_000;
const SIZE = 1 << 16;
const dB = (ratio: number) => 20 * Math.log10(Math.abs(ratio));

/** Figures of a polynomial of two tones whose sum peaks at full scale. */
function figuresOf(a: number[], f1: number, f2: number, ratio: number, limit = -120) {
  const pair = coherentPair(f1, f2, ratio, 0, RATE, SIZE);
  return pairFigures(
    pair.sum.map((x) => polynomialAt(a, x)),
    RATE,
    pair.bins,
    limit,
  );
}

describe('SMPTE 4:1 and difference tones 1:1 (section 4, IEC 60268-3 from memory)', () => {
  it('x + 0.05x² gives d_m2 8.0000 %', () => {
    const { dm2Percent, dm3Percent } = figuresOf([0, 1, 0.05], 60, 7000, 4);
    expect(dm2Percent).toBeCloseTo(8, 6);
    expect(dm3Percent).toBeCloseTo(0, 9);
  });
  it('x + 0.05x³ gives d_m3 4.573606 %', () => {
    const { dm2Percent, dm3Percent } = figuresOf([0, 1, 0, 0.05], 60, 7000, 4);
    expect(dm2Percent).toBeCloseTo(0, 9);
    expect(dm3Percent).toBeCloseTo(4.573606, 6);
  });
  it('x + 0.05x² gives d_d2 1.2500 % with 1 kHz at 0.0125', () => {
    const { dd2Percent, f2Dbfs, products } = figuresOf([0, 1, 0.05], 19_000, 20_000, 1);
    expect(dd2Percent).toBeCloseTo(1.25, 6);
    const line = products.find(({ label }) => label === 'f2 − f1');
    expect(Math.abs((line?.hz ?? 0) - 1000)).toBeLessThan(1);
    expect((line?.dbc ?? 0) + (f2Dbfs ?? 0)).toBeCloseTo(dB(0.0125), 6);
  });
  it('x + 0.05x³ gives d_d3 0.911854 % with 18 and 21 kHz at 0.0046875', () => {
    const { dd3Percent, f2Dbfs, products } = figuresOf([0, 1, 0, 0.05], 19_000, 20_000, 1);
    expect(dd3Percent).toBeCloseTo(0.911854, 6);
    const lines = products.filter(({ hz }) => Math.abs(hz - 18_000) < 2 || Math.abs(hz - 21_000) < 2);
    expect(lines.map(({ label }) => label).sort()).toEqual(['2f1 − f2', '2f2 − f1']);
    for (const { dbc } of lines) expect(dbc + (f2Dbfs ?? 0)).toBeCloseTo(dB(0.0046875), 6);
  });
});

describe('the two-tone table of section 3', () => {
  it('x + 0.1x² + 0.05x³ with A = 0.5, B = 0.3', () => {
    const pair = coherentPair(1000, 3100, 5 / 3, dB(0.8), RATE, SIZE);
    const output = pair.sum.map((x) => polynomialAt([0, 1, 0.1, 0.05], x));
    const { products, f1Dbfs, f2Dbfs, dcDbfs } = pairFigures(output, RATE, pair.bins, -120);
    expect(f1Dbfs).toBeCloseTo(dB(0.5080625), 6);
    expect(f2Dbfs).toBeCloseTo(dB(0.3066375), 6);
    expect(dcDbfs).toBeCloseTo(dB(0.017), 6);
    const expected: Record<string, [amplitude: number, order: number]> = {
      '2f1': [0.0125, 2],
      'f1 + f2': [0.015, 2],
      'f2 − f1': [0.015, 2],
      '3f1': [0.0015625, 3],
      '2f1 + f2': [0.0028125, 3],
      'f2 − 2f1': [0.0028125, 3],
      '2f2 − f1': [0.0016875, 3],
      'f1 + 2f2': [0.0016875, 3],
      '2f2': [0.1 * 0.5 * 0.3 ** 2, 2],
      '3f2': [(0.05 * 0.3 ** 3) / 4, 3],
    };
    expect(products.map(({ label }) => label).sort()).toEqual(Object.keys(expected).sort());
    for (const { label, dbc, order } of products) {
      expect(dbc + (f2Dbfs ?? 0), label).toBeCloseTo(dB(expected[label][0]), 5);
      expect(order, label).toBe(expected[label][1]);
    }
  });

  it('a polynomial of order 7: every product to order 7, by its coefficients', () => {
    const a = [0, 1, 0.05, 0.04, 0.03, 0.02, 0.02, 0.02];
    const pair = coherentPair(700, 2900, 1.5, 0, RATE, SIZE);
    const figures = pairFigures(
      pair.sum.map((x) => polynomialAt(a, x)),
      RATE,
      pair.bins,
      -120,
    );
    const reference = polynomialLine(a, 0.6, 0.4, 0, 1);
    for (let m = 0; m <= 7; m++) {
      for (let n = m === 0 ? 1 : m - 7; n <= 7 - m; n++) {
        const order = m + Math.abs(n);
        if (order < 2 || order > 7) continue;
        const hz = Math.abs(m * 700 + n * 2900);
        const line = figures.products.find((product) => Math.abs(product.hz - hz) < 8 && product.order === order);
        expect(line, `${m} ${n}`).toBeDefined();
        expect(line?.dbc, `${m} ${n}`).toBeCloseTo(dB(polynomialLine(a, 0.6, 0.4, m, n) / reference), 5);
      }
    }
  });

  it('equal tones: second-order intermodulation 6.02 dB over the harmonic, third-order 9.54 dB', () => {
    const { products } = figuresOf([0, 1, 0.01, 0.01], 1000, 3100, 1);
    const level = (label: string) => products.find((product) => product.label === label)?.dbc ?? Number.NaN;
    expect(level('f2 − f1') - level('2f2')).toBeCloseTo(dB(2), 5);
    expect(level('2f2 − f1') - level('3f2')).toBeCloseTo(dB(3), 5);
  });
});

describe('products that fold or coincide', () => {
  it('a product above half the rate is no product of the list but a folded one, and alias', () => {
    // Sampled x² without over-sampling: f1 + f2 = 39 kHz appears at 9 kHz.
    const { products, foldedProducts, aliasDbc, f2Dbfs } = figuresOf([0, 1, 0.05], 19_000, 20_000, 1);
    expect(products.map(({ label }) => label)).toEqual(['f2 − f1']);
    const sum = foldedProducts.find(({ label }) => label === 'f1 + f2');
    expect(Math.abs((sum?.hz ?? 0) - 9000)).toBeLessThan(3);
    expect((sum?.dbc ?? 0) + (f2Dbfs ?? 0)).toBeCloseTo(dB(0.0125), 6);
    expect(foldedProducts.map(({ label }) => label).sort()).toEqual(['2f1', '2f2', 'f1 + f2']);
    // f1 + f2 and both second harmonics (38 → 10 kHz, 40 → 8 kHz), of 0.0125, 0.00625 and 0.00625.
    expect(aliasDbc).toBeCloseTo(10 * Math.log10((0.0125 ** 2 + 2 * 0.00625 ** 2) / 0.25), 5);
  });

  it('products on one line are named together, with the lowest order', () => {
    // f2 = 3·f1 exactly, as no snapped pair is: 2f1 and f2 − f1 fall on one line, 3f1 on the tone f2.
    const size = 4096;
    const bins = { k1: 101, k2: 303 };
    const signal = Float64Array.from({ length: size }, (_, i) => {
      const angle = (2 * Math.PI * i) / size;
      return polynomialAt([0, 1, 0.1], 0.5 * Math.cos(101 * angle) + 0.3 * Math.cos(303 * angle));
    });
    const { products, f2Dbfs } = pairFigures(signal, RATE, bins, -120);
    const line = products.find(({ label }) => label.includes('f2 − f1'));
    expect(line?.label.split(' = ')).toEqual(expect.arrayContaining(['2f1', 'f2 − f1']));
    expect(line?.order).toBe(2);
    expect((line?.dbc ?? 0) + (f2Dbfs ?? 0)).toBeCloseTo(dB(0.0125 + 0.015), 6);
    expect(products.some(({ label }) => label.split(' = ').includes('3f1'))).toBe(false);
  });

  it('snapped pairs keep products apart, and stay within a few bins of what was asked for', () => {
    for (const [f1, f2] of [
      [60, 7000],
      [19_000, 20_000],
      [1000, 2000],
      [100, 300],
      [8000, 16_000],
      [220, 1250],
    ]) {
      const { k1, k2 } = snapPair(f1, f2, RATE, SIZE);
      const seen = new Map<number, string>([
        [0, 'DC'],
        [k1, 'f1'],
        [k2, 'f2'],
      ]);
      for (let m = 0; m <= 7; m++) {
        for (let n = m === 0 ? 1 : m - 7; n <= 7 - m; n++) {
          const order = m + Math.abs(n);
          if (order < 2 || order > 7) continue;
          const within = Math.abs(m * k1 + n * k2) % SIZE;
          const bin = Math.min(within, SIZE - within);
          expect(seen.get(bin), `${m},${n} of ${f1} and ${f2} Hz`).toBeUndefined();
          seen.set(bin, `${m},${n}`);
        }
      }
      expect(Math.abs(k1 - (f1 * SIZE) / RATE)).toBeLessThan(6);
      expect(Math.abs(k2 - (f2 * SIZE) / RATE)).toBeLessThan(6);
    }
  });
});

describe('interaction F(a + b) − F(a) − F(b)', () => {
  const of = (a: number[]) => {
    const pair = coherentPair(1000, 3100, 5 / 3, dB(0.8), RATE, SIZE);
    const F = (x: number) => polynomialAt(a, x);
    const part = pair.sum.map((x, i) => F(x) - F(pair.first.samples[i]) - F(pair.second.samples[i]));
    const whole = new LineSpectrum(pair.sum.map(F), RATE);
    return { ...interactionFigures(part, whole, pair.bins), f2: whole.amplitude(pair.bins.k2) };
  };

  it('of a quadratic is 2·a₂·a·b: f1 + f2 and f2 − f1 of a₂AB each, and nothing else', () => {
    const { lines, totalDbc, f2 } = of([0, 1, 0.1]);
    expect(lines.map(({ label }) => label).sort()).toEqual(['f1 + f2', 'f2 − f1']);
    for (const { dbc } of lines) expect(dbc).toBeCloseTo(dB((0.1 * 0.5 * 0.3) / f2), 6);
    expect(totalDbc).toBeCloseTo(dB((Math.SQRT2 * 0.1 * 0.5 * 0.3) / f2), 6);
  });

  it('of a cubic is 3·a₃·(a²b + ab²): also what each tone does to the other’s level', () => {
    const { lines, f2 } = of([0, 1, 0, 0.05]);
    const level = (label: string) => lines.find((line) => line.label === label)?.dbc ?? Number.NaN;
    // 3/2·a₃·A·B² at f1, 3/2·a₃·A²·B at f2, ¾·a₃·A²·B at f2 ± 2f1.
    expect(level('f1')).toBeCloseTo(dB((1.5 * 0.05 * 0.5 * 0.09) / f2), 6);
    expect(level('f2')).toBeCloseTo(dB((1.5 * 0.05 * 0.25 * 0.3) / f2), 6);
    expect(level('f2 − 2f1')).toBeCloseTo(dB((0.75 * 0.05 * 0.25 * 0.3) / f2), 6);
    expect(lines).toHaveLength(6);
  });

  it('of a straight line is nothing', () => {
    expect(of([0, 1]).lines).toEqual([]);
  });
});
