import { describe, expect, it } from 'vitest';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { near } from './near.ts';

describe('seededRandom', () => {
  it('repeats itself for a seed and differs between neighbouring ones', () => {
    const draw = (seed: number) => Array.from({ length: 50 }, seededRandom(seed));
    expect(draw(4)).toEqual(draw(4));
    const [a, b] = [draw(4), draw(5)];
    expect(a.filter((x, i) => Math.abs(x - b[i]) < 0.01).length).toBeLessThan(5);
  });

  it('is uniform on [0, 1) and without serial correlation', () => {
    const random = seededRandom(1);
    const values = Array.from({ length: 100_000 }, random);
    const bins = new Array<number>(20).fill(0);
    for (const value of values) bins[Math.floor(20 * value)]++;
    expect(Math.min(...values)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...values)).toBeLessThan(1);
    const chiSquare = bins.reduce((sum, count) => sum + (count - 5000) ** 2 / 5000, 0);
    // 19 degrees of freedom: 43.8 is passed once in a thousand seeds.
    expect(chiSquare).toBeLessThan(43.8);
    const lag = values.slice(1).reduce((sum, x, i) => sum + (x - 0.5) * (values[i] - 0.5), 0) / values.length;
    near(lag * 12, 0, 0.015);
  });
});

describe('gaussian', () => {
  it('has mean 0, variance 1, no skew and kurtosis 3', () => {
    const random = seededRandom(2);
    const values = Array.from({ length: 200_000 }, () => gaussian(random));
    const moment = (n: number) => values.reduce((sum, x) => sum + x ** n, 0) / values.length;
    near(moment(1), 0, 0.01);
    near(moment(2), 1, 0.015);
    near(moment(3), 0, 0.03);
    near(moment(4), 3, 0.1);
  });

  it('stays finite when the generator gives 0', () => {
    expect(gaussian(() => 0)).toBeCloseTo(0, 15);
  });
});
