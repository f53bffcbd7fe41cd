/** The score test of several sides, against every sequence of coins, the binomial, and a published table. */
import { describe, expect, it } from 'vitest';
import { anyPreferenceP } from '../../src/blind/any-preference.ts';
import { twoSidedP } from '../../src/blind/binomial.ts';
import { seededRandom } from '../../src/dsp/random.ts';
import { SEVEN } from './seven-teams.ts';

const none = (sides: number) => Array.from({ length: sides }, () => new Array<number>(sides).fill(0));

/** Kendall and Babington Smith's sum of squares for a round robin: Σ(wins − n(t − 1)/2)²; grows with the score test. */
function squares(wins: readonly (readonly number[])[]): number {
  const won = wins.map((row) => row.reduce((sum, count) => sum + count, 0));
  const mean = won.reduce((sum, count) => sum + count, 0) / won.length;
  return won.reduce((sum, count) => sum + (count - mean) ** 2, 0);
}

describe('several sides at once', () => {
  it('is the two-sided binomial for two sides', () => {
    for (const [k, n] of [
      [12, 16],
      [5, 16],
      [8, 16],
      [10, 10],
    ] as const) {
      expect(
        anyPreferenceP([
          [0, k],
          [n - k, 0],
        ]),
      ).toBeCloseTo(twoSidedP(k, n), 12);
    }
  });

  it('counts every sequence of coins of a round robin of three sides, three times round', () => {
    const games = [0, 1, 2].flatMap(() => [
      [0, 1],
      [0, 2],
      [1, 2],
    ]);
    const all = Array.from({ length: 2 ** games.length }, (_, coins) => {
      const wins = none(3);
      for (const [at, [i, j]] of games.entries()) {
        const [winner, loser] = (coins >> at) & 1 ? [i, j] : [j, i];
        wins[winner][loser]++;
      }
      return wins;
    });
    for (const wins of all.filter((_, coins) => coins % 37 === 0)) {
      const asUneven = all.filter((other) => squares(other) >= squares(wins) - 1e-9).length;
      expect(anyPreferenceP(wins)).toBeCloseTo(asUneven / all.length, 12);
    }
  });

  it('finds seven teams of a season unlike', () => {
    expect(anyPreferenceP(SEVEN)).toBeLessThan(1e-4);
  });

  it.each([
    ['exactly', 3, 18],
    ['by chi-squared', 8, 84],
  ])('calls guessers in at most 5 %% of sessions, %s', (_, sides, trials) => {
    const random = seededRandom(sides);
    const pairs = Array.from({ length: sides }, (_, i) => i).flatMap((i) =>
      Array.from({ length: sides - i - 1 }, (_, k) => [i, i + k + 1]),
    );
    const sessions = 2000;
    let called = 0;
    for (let session = 0; session < sessions; session++) {
      const wins = none(sides);
      for (let trial = 0; trial < trials; trial++) {
        const [i, j] = pairs[trial % pairs.length];
        const [winner, loser] = random() < 0.5 ? [i, j] : [j, i];
        wins[winner][loser]++;
      }
      if ((anyPreferenceP(wins) ?? 1) <= 0.05) called++;
    }
    console.log(`${sides} sides, ${trials} trials: guessers called in ${((100 * called) / sessions).toFixed(1)} %`);
    // Standard error 0.5 %.
    expect(called / sessions).toBeLessThanOrEqual(0.06);
  });

  it('says nothing where sides were never compared', () => {
    const wins = none(4);
    wins[0][1] = 3;
    wins[2][3] = 2;
    expect(anyPreferenceP(wins)).toBeNull();
  });
});
