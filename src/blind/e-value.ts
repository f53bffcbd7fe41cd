/**
 * A rule that may be looked at after every trial. For k right of n the e-value is the likelihood of the answers averaged
 * over every success probability above ½, against guessing:
 *
 *   E = 2^n · 2∫_½^1 p^k (1−p)^(n−k) dp = 2^(n+1) · B(k+1, n−k+1) · [1 − I_½(k+1, n−k+1)].
 *
 * Under guessing E is a martingale that starts at 1, so the chance that it ever reaches 20 is at most 1/20 (Ville 1939
 * [M]), however often one looks and whenever one stops.
 *
 * Written as a sum without cancellation, since 1 − I_½(k+1, n−k+1) = P(Bin(n+1, ½) ≤ k):
 *
 *   E = Σ_{j=0}^{k} C(n+1, j) / ((n+1)·C(n, k)).
 */
import { logChoose, type Range } from './binomial.ts';

/** Reaching this ends a stop-any-time trial in one direction: a false alarm in at most 1 of 20. */
export const STOP_AT = 20;

/** Natural logarithm of E for `correct` of n. @throws RangeError for counts that aren't */
export function logEValue(correct: number, n: number): number {
  if (!Number.isInteger(correct) || !Number.isInteger(n) || correct < 0 || correct > n) {
    throw new RangeError(`${correct} of ${n} is not a score; it takes whole numbers with 0 ≤ k ≤ n.`);
  }
  // Terms from j = k down to 0, relative to the first, 1/(n+1−k); rescaled before they overflow.
  let term = 1;
  let sum = 1;
  let scale = -Math.log(n + 1 - correct);
  for (let j = correct; j > 0; j--) {
    term *= j / (n + 2 - j);
    sum += term;
    if (sum > 1e250) {
      scale += Math.log(sum);
      term /= sum;
      sum = 1;
    }
  }
  return scale + Math.log(sum);
}

/** E for `correct` of n; Infinity beyond the range of a double (use the logarithm there). */
export function eValue(correct: number, n: number): number {
  return Math.exp(logEValue(correct, n));
}

/**
 * Confidence sequence: all p that the answers haven't ruled out, with the stated confidence at all times at once. From
 * the same kind of average over the whole of [0, 1]: p stays while B(k+1, n−k+1) < p^k (1−p)^(n−k) / (1 − confidence),
 * where B(k+1, n−k+1) = 1 / ((n+1)·C(n, k)).
 * Bounds to 1e-9.
 */
export function confidenceSequence(k: number, n: number, confidence = 0.95): Range {
  const level = -Math.log(n + 1) - logChoose(n, k) + Math.log(1 - confidence);
  // 0·ln 0 counts as 0.
  const logLikelihood = (p: number) => (k === 0 ? 0 : k * Math.log(p)) + (k === n ? 0 : (n - k) * Math.log1p(-p));
  const inside = (p: number) => logLikelihood(p) > level;
  const peak = n === 0 ? 0.5 : k / n;
  const edge = (outer: number) => {
    if (inside(outer)) return outer;
    let [near, far] = [peak, outer];
    while (Math.abs(far - near) > 1e-9) {
      const middle = (near + far) / 2;
      if (inside(middle)) near = middle;
      else far = middle;
    }
    return far;
  };
  return { low: edge(0), high: edge(1) };
}
