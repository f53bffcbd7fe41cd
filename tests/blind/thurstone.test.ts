import { describe, expect, it } from 'vitest';
import {
  abxDifferencing,
  abxIndependent,
  dPrimeFrom,
  duoTrio,
  triangle,
  twoAlternatives,
} from '../../src/blind/thurstone.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';

describe('psychometric functions', () => {
  // Values at d′ = 1 from closed forms, confirmed with scipy.
  it.each([
    ['2AFC', twoAlternatives, 0.76025, 0.5],
    ['triangle', triangle, 0.418047, 1 / 3],
    ['duo-trio', duoTrio, 0.582475, 0.5],
    ['ABX, independent', abxIndependent, 0.599656, 0.5],
    ['ABX, differencing', abxDifferencing, 0.582475, 0.5],
  ])('%s', (_, rightOften, atOne, chance) => {
    expect(rightOften(1)).toBeCloseTo(atOne, 6);
    expect(rightOften(0)).toBeCloseTo(chance, 9);
    expect(rightOften(9)).toBeGreaterThan(0.99);
    expect(dPrimeFrom(rightOften, rightOften(1.7))).toBeCloseTo(1.7, 6);
  });

  it('agrees with listeners simulated from the strategies’ own descriptions, within 4 standard errors', () => {
    const random = seededRandom(41);
    const dPrime = 1.5;
    const runs = 40_000;
    let odd = 0;
    let nearer = 0;
    let judged = 0;
    for (let run = 0; run < runs; run++) {
      const [a, b] = [gaussian(random), dPrime + gaussian(random)];
      const isA = random() < 0.5;
      const x = (isA ? 0 : dPrime) + gaussian(random);
      if (Math.abs(x - a) < Math.abs(x - b) === isA) nearer++;
      // Judges each by itself: which of the pair has more, and on which side of the middle X lies.
      if (a < b === (x < dPrime / 2 === isA)) judged++;
      const again = gaussian(random);
      if (Math.abs(a - again) < Math.min(Math.abs(a - b), Math.abs(again - b))) odd++;
    }
    const error = Math.sqrt(0.25 / runs);
    expect(Math.abs(nearer / runs - abxDifferencing(dPrime))).toBeLessThan(4 * error);
    expect(Math.abs(judged / runs - abxIndependent(dPrime))).toBeLessThan(4 * error);
    expect(Math.abs(odd / runs - triangle(dPrime))).toBeLessThan(4 * error);
  });

  it('gives 0 at or below chance, and infinity for certainty', () => {
    expect(dPrimeFrom(abxIndependent, 0.4)).toBe(0);
    expect(dPrimeFrom(abxIndependent, 1)).toBe(Number.POSITIVE_INFINITY);
  });
});
