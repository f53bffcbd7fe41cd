/**
 * How often a listener is right whose two sensations differ by d′ (in standard deviations of either) under the common
 * ways to ask. Thurstone's model with equal variances; formulas [M], values checked in the tests.
 */
import normalCdf from '@stdlib/stats-base-dists-normal-cdf';

const phi = (z: number) => normalCdf(z, 0, 1);

/** Which of two has more: Φ(d′/√2). Chance ½. */
export function twoAlternatives(dPrime: number): number {
  return phi(dPrime / Math.SQRT2);
}

/**
 * Which of three is the odd one: 2∫₀^∞ [Φ(−z√3 + d′√⅔) + Φ(−z√3 − d′√⅔)]·φ(z) dz. Chance ⅓.
 * Simpson's rule on 0 to 8, error below 1e-9.
 */
export function triangle(dPrime: number): number {
  const shift = dPrime * Math.sqrt(2 / 3);
  const steps = 800;
  const width = 8 / steps;
  let sum = 0;
  for (let i = 0; i <= steps; i++) {
    const z = i * width;
    const weight = i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2;
    const side = -z * Math.sqrt(3);
    sum += weight * (phi(side + shift) + phi(side - shift)) * Math.exp((-z * z) / 2);
  }
  return (2 / Math.sqrt(2 * Math.PI)) * (width / 3) * sum;
}

/** Which of two equals the named reference: both differences point the right way, or neither. Chance ½. */
export function duoTrio(dPrime: number): number {
  const [a, b] = [phi(dPrime / Math.SQRT2), phi(dPrime / Math.sqrt(6))];
  return a * b + (1 - a) * (1 - b);
}

/** ABX where each sound is judged for itself: Φ(d′/√2)Φ(d′/2) + Φ(−d′/√2)Φ(−d′/2). Chance ½. */
export function abxIndependent(dPrime: number): number {
  const [a, b] = [phi(dPrime / Math.SQRT2), phi(dPrime / 2)];
  return a * b + (1 - a) * (1 - b);
}

/** ABX where X is compared with each of the two: Φ(d′/√2)Φ(d′/√6) + Φ(−d′/√2)Φ(−d′/√6). Chance ½. */
export function abxDifferencing(dPrime: number): number {
  return duoTrio(dPrime);
}

/** d′ at which `rightOften` gives `proportion`, to 1e-9; 0 at or below chance, Infinity where 10 isn't enough. */
export function dPrimeFrom(rightOften: (dPrime: number) => number, proportion: number): number {
  if (proportion <= rightOften(0)) return 0;
  if (proportion > rightOften(10)) return Number.POSITIVE_INFINITY;
  let [low, high] = [0, 10];
  while (high - low > 1e-9) {
    const middle = (low + high) / 2;
    if (rightOften(middle) < proportion) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
