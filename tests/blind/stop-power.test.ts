import { describe, expect, it } from 'vitest';
import { power } from '../../src/blind/binomial.ts';
import { eValue, STOP_AT } from '../../src/blind/e-value.ts';
import { stopPower } from '../../src/blind/stop-power.ts';
import { seededRandom } from './listeners.ts';

const heard = (count: number, n: number) => eValue(count, n) >= STOP_AT;

describe('what a rule that may stop at any time shows', () => {
  it('is the binomial tail where the rule only looks at the end', () => {
    const { chance, trials } = stopPower(0.7, 16, (count, n) => n === 16 && count >= 12);
    expect(chance).toBeCloseTo(power(12, 16, 0.7), 12);
    expect(trials).toBeCloseTo(16, 12);
  });

  it('is counted out by hand for two in a row', () => {
    // Stops at 2 of 2 (p²), or goes on to the third trial.
    const { chance, trials } = stopPower(0.6, 3, (count, n) => n === 2 && count === 2);
    expect(chance).toBeCloseTo(0.36, 12);
    expect(trials).toBeCloseTo(2 * 0.36 + 3 * 0.64, 12);
  });

  it('keeps the promise of the e-value under guessing: at most 1 of 20', () => {
    expect(stopPower(0.5, 400, heard).chance).toBeLessThanOrEqual(1 / STOP_AT);
    expect(stopPower(0.5, 400, heard).chance).toBeGreaterThan(0.01);
  });

  it.each([0.7, 0.8, 0.95])('agrees with 4000 listeners who are right with %f', (rate) => {
    const random = seededRandom(Math.round(1000 * rate));
    let stopped = 0;
    let trials = 0;
    for (let i = 0; i < 4000; i++) {
      let count = 0;
      for (let n = 1; n <= 60; n++) {
        trials++;
        if (random() < rate) count++;
        if (!heard(count, n)) continue;
        stopped++;
        break;
      }
    }
    const exact = stopPower(rate, 60, heard);
    // Four standard errors of a share of 4000.
    expect(Math.abs(stopped / 4000 - exact.chance)).toBeLessThan(4 * Math.sqrt(0.25 / 4000));
    expect(Math.abs(trials / 4000 - exact.trials)).toBeLessThan(1.2);
  });
});
