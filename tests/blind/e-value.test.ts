import { describe, expect, it } from 'vitest';
import { confidenceSequence, eValue, logEValue, STOP_AT } from '../../src/blind/e-value.ts';

describe('e-value', () => {
  it('equals its formula, the likelihood averaged over ½ to 1, by numerical integration', () => {
    for (const n of [1, 7, 24, 60]) {
      for (let k = 0; k <= n; k++) {
        // 2^n · 2∫ p^k (1−p)^(n−k) dp by Simpson's rule.
        const steps = 4000;
        let sum = 0;
        for (let i = 0; i <= steps; i++) {
          const p = 0.5 + i / (2 * steps);
          sum += (i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2) * (2 * p) ** k * (2 - 2 * p) ** (n - k);
        }
        expect(Math.abs(eValue(k, n) / (sum / (3 * steps)) - 1)).toBeLessThan(1e-8);
      }
    }
  });

  // 2^21·B(17, 5)·[1 − I_½(17, 5)] = 2^21·(4!·16!/21!)·P(Bin(21, ½) ≤ 16), by hand.
  it('is 20.54 for 16 of 20', () => {
    expect(eValue(16, 20)).toBeCloseTo((2 ** 21 / 101_745) * (1 - (5985 + 1330 + 210 + 21 + 1) / 2 ** 21), 9);
  });

  it('equals closed forms: all right 2^(n+1)(1 − 2^−(n+1))/(n+1), all wrong 1/(n+1)', () => {
    for (let n = 0; n <= 40; n++) {
      expect(eValue(n, n) / ((2 ** (n + 1) - 1) / (n + 1))).toBeCloseTo(1, 12);
      expect(eValue(0, n)).toBeCloseTo(1 / (n + 1), 14);
    }
  });

  it('is a martingale: its mean over the next fair coin is its value', () => {
    for (let n = 0; n < 60; n++) {
      for (let k = 0; k <= n; k++) {
        const mean = (eValue(k, n + 1) + eValue(k + 1, n + 1)) / 2;
        expect(Math.abs(mean / eValue(k, n) - 1)).toBeLessThan(1e-12);
      }
    }
  });

  it('has mean 1 over all 2^n answers of a guesser, enumerated one by one', () => {
    for (const n of [1, 5, 12]) {
      let sum = 0;
      for (let answers = 0; answers < 2 ** n; answers++) {
        sum += eValue([...answers.toString(2)].filter((bit) => bit === '1').length, n);
      }
      expect(sum / 2 ** n).toBeCloseTo(1, 11);
    }
  });

  it('alarms for exactly enumerated guessers, looked at up to 400 times, in at most 5 %', () => {
    const { alarm } = crossing(0.5, 400);
    expect(alarm).toBeLessThan(1 / STOP_AT);
    // Not by being blind: it uses a good part of what it may.
    expect(alarm).toBeGreaterThan(0.02);
  });

  it('finds a listener who is right in 80 % of trials in a median of at most 20, enumerated exactly', () => {
    expect(crossing(0.8, 60).median).toBeLessThanOrEqual(20);
  });

  it('stays finite and right in the logarithm far beyond a double', () => {
    const n = 4000;
    expect(logEValue(n, n)).toBeCloseTo((n + 1) * Math.LN2 - Math.log(n + 1), 8);
    expect(logEValue(0, n)).toBeCloseTo(-Math.log(n + 1), 10);
    expect(Number.isFinite(logEValue(3000, n))).toBe(true);
    // Stirling: C(4000, 3000) = exp(4000·h(¾)) / √(2π·4000·¾·¼), to 1 part in 5000; almost all mass lies below ½.
    const entropy = -0.75 * Math.log(0.75) - 0.25 * Math.log(0.25);
    const logChoose = n * entropy - 0.5 * Math.log(2 * Math.PI * n * 0.1875);
    expect(logEValue(3000, n)).toBeCloseTo((n + 1) * Math.LN2 - Math.log(n + 1) - logChoose, 3);
  });

  it.each([
    [-1, 5],
    [6, 5],
    [1.5, 5],
  ])('refuses %d of %d', (k, n) => {
    expect(() => logEValue(k, n)).toThrow(RangeError);
  });
});

describe('confidence sequence', () => {
  it('misses the true rate at any of 200 looks in at most 5 %, enumerated exactly', () => {
    for (const p of [0.5, 0.7, 0.9]) {
      let alive = [1];
      let missed = 0;
      for (let n = 1; n <= 200; n++) {
        const next = step(alive, p);
        for (let k = 0; k <= n; k++) {
          const { low, high } = confidenceSequence(k, n);
          if (p > low && p < high) continue;
          missed += next[k];
          next[k] = 0;
        }
        alive = next;
      }
      expect(missed).toBeLessThan(0.05);
      expect(missed).toBeGreaterThan(0.005);
    }
  });

  it('holds everything before the first trial, and contains the observed rate', () => {
    expect(confidenceSequence(0, 0)).toEqual({ low: 0, high: 1 });
    for (const k of [0, 7, 30]) {
      const { low, high } = confidenceSequence(k, 30);
      expect(low).toBeLessThanOrEqual(k / 30);
      expect(high).toBeGreaterThanOrEqual(k / 30);
      expect(high - low).toBeLessThan(0.6);
    }
  });
});

/** Probabilities of each count after one more trial. */
function step(alive: readonly number[], p: number): number[] {
  const next = new Array<number>(alive.length + 1).fill(0);
  for (const [k, mass] of alive.entries()) {
    next[k] += mass * (1 - p);
    next[k + 1] += mass * p;
  }
  return next;
}

/** How often, and in the median when, the e-value reaches its threshold. */
function crossing(p: number, trials: number): { alarm: number; median: number } {
  let alive = [1];
  let alarm = 0;
  let median = Number.POSITIVE_INFINITY;
  for (let n = 1; n <= trials; n++) {
    alive = step(alive, p);
    for (const k of alive.keys()) {
      if (eValue(k, n) < STOP_AT) continue;
      alarm += alive[k];
      alive[k] = 0;
    }
    if (alarm >= 0.5) median = Math.min(median, n);
  }
  return { alarm, median };
}
