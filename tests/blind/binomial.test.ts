import { describe, expect, it } from 'vitest';
import { fixedPlan } from '../../src/blind/abx.ts';
import {
  clopperPearson,
  minimumAgreeing,
  minimumCorrect,
  oneSidedP,
  power,
  twoSidedP,
  upperBound,
  upperTail,
} from '../../src/blind/binomial.ts';

const ALPHAS = [0.05, 0.01, 0.001];

/** P(K ≥ k) at ½ by adding whole numbers. */
function tailByCounting(k: number, n: number): number {
  let choose = 1n;
  let sum = 0n;
  for (let j = 0; j <= n; j++) {
    if (j >= k) sum += choose;
    choose = (choose * BigInt(n - j)) / BigInt(j + 1);
  }
  return Number(sum) / 2 ** n;
}

describe('fewest correct, guessing at ½, one-sided (scipy 1.17 binom.sf)', () => {
  it.each([
    [8, 7, 8, null],
    [10, 9, 10, 10],
    [12, 10, 11, 12],
    [16, 12, 14, 15],
    [20, 15, 16, 18],
    [25, 18, 19, 21],
    [30, 20, 22, 24],
    [40, 26, 28, 31],
    [50, 32, 34, 37],
    [100, 59, 63, 66],
  ])('n = %i: %s %s %s', (n, ...needed) => {
    expect(ALPHAS.map((alpha) => minimumCorrect(n, alpha))).toEqual(needed);
  });

  it.each([5, 6, 7])('n = %i needs all for 5 %', (n) => {
    expect(minimumCorrect(n, 0.05)).toBe(n);
  });

  it('4 trials never do', () => {
    expect(minimumCorrect(4, 0.05)).toBeNull();
  });
});

describe('triangle, guessing at ⅓ (ISO 4120 as published)', () => {
  it.each([
    [10, 7, 8, 9],
    [15, 9, 10, 12],
    [20, 11, 13, 14],
    [25, 13, 15, 17],
    [30, 15, 17, 19],
    [40, 19, 21, 24],
    [50, 23, 26, 28],
    [60, 27, 30, 33],
  ])('n = %i: %i %i %i', (n, ...needed) => {
    expect(ALPHAS.map((alpha) => minimumCorrect(n, alpha, 1 / 3))).toEqual(needed);
  });

  it('11 of 20 gives p = 0.03764 (the documentation of an R package for sensory data)', () => {
    expect(oneSidedP(11, 20, 1 / 3)).toBeCloseTo(0.03764, 5);
  });
});

describe('paired, two-sided (ISO 5495, recomputed with scipy)', () => {
  it.each([
    [10, 9, 10, null],
    [20, 15, 17, 18],
    [30, 21, 23, 25],
    [50, 33, 35, 37],
    [100, 61, 64, 67],
  ])('n = %i: %s %s %s', (n, ...needed) => {
    expect(ALPHAS.map((alpha) => minimumAgreeing(n, alpha))).toEqual(needed);
  });
});

describe('exact p', () => {
  // scipy, R's binom.test and whole numbers agree.
  it.each([
    [12, 16, 0.0384063720703125],
    [9, 10, 0.0107421875],
    [14, 20, 0.057659149169921875],
  ])('%i of %i', (k, n, p) => {
    expect(oneSidedP(k, n)).toBeCloseTo(p, 15);
  });

  it('60 of 100 two-sided is 0.05688793364098079 (whole numbers), and symmetric', () => {
    expect(twoSidedP(60, 100)).toBeCloseTo(0.05688793364098079, 14);
    expect(twoSidedP(40, 100)).toBe(twoSidedP(60, 100));
    expect(twoSidedP(50, 100)).toBe(1);
  });

  it('equals a sum of whole numbers for every score up to 60', () => {
    for (let n = 1; n <= 60; n += 7) {
      for (let k = 0; k <= n; k++) expect(upperTail(k, n)).toBeCloseTo(tailByCounting(k, n), 13);
    }
  });

  it.each([
    [-1, 5],
    [6, 5],
    [2.5, 5],
    [1, Number.NaN],
  ])('refuses %d of %d', (k, n) => {
    expect(() => oneSidedP(k, n)).toThrow(RangeError);
    expect(() => clopperPearson(k, n)).toThrow(RangeError);
  });
});

describe('intervals and power', () => {
  // scipy and R's binom.test agree.
  it.each([
    [12, 16, 0.476229, 0.927338],
    [60, 100, 0.497209, 0.696705],
  ])('Clopper-Pearson, %i of %i: %d to %d', (k, n, low, high) => {
    const interval = clopperPearson(k, n);
    expect(interval.low).toBeCloseTo(low, 6);
    expect(interval.high).toBeCloseTo(high, 6);
  });

  it('reach 0 and 1 at the ends', () => {
    expect(clopperPearson(0, 10).low).toBe(0);
    expect(clopperPearson(10, 10).high).toBe(1);
    // (1 − p)^10 = 0.025.
    expect(clopperPearson(0, 10).high).toBeCloseTo(1 - 0.025 ** 0.1, 9);
  });

  it('the one-sided bound is where the lower tail is 5 %', () => {
    const bound = upperBound(9, 16);
    expect(1 - upperTail(10, 16, bound)).toBeCloseTo(0.05, 9);
    expect(upperBound(16, 16)).toBe(1);
  });

  it('power of 12 of 16 (scipy)', () => {
    const values = [0.6, 0.7, 0.8, 0.9].map((p) => power(12, 16, p));
    for (const [i, value] of [0.1666, 0.4499, 0.7982, 0.983].entries()) expect(values[i]).toBeCloseTo(value, 4);
    expect(fixedPlan(16).needed).toBe(12);
    expect(fixedPlan(16).power(0.8)).toBe(values[2]);
  });
});
