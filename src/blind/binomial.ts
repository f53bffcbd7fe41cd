/**
 * Exact statistics of n independent yes-or-no trials. Tails are sums of the binomial probabilities themselves, to about
 * 1e-13 of their value: for a few hundred trials that is exact, quick, and spares the browser a general incomplete beta
 * function.
 */

/** A closed range of a proportion or a rate. */
export interface Range {
  readonly low: number;
  readonly high: number;
}

const LOG_FACTORIALS = [0];

/** Natural logarithm of C(n, k), n over k. */
export function logChoose(n: number, k: number): number {
  for (let i = LOG_FACTORIALS.length; i <= n; i++) LOG_FACTORIALS.push(LOG_FACTORIALS[i - 1] + Math.log(i));
  return LOG_FACTORIALS[n] - LOG_FACTORIALS[k] - LOG_FACTORIALS[n - k];
}

/** Chance of k or more successes in n trials with success probability p. @throws RangeError for counts that aren't */
export function upperTail(k: number, n: number, p = 0.5): number {
  checkCounts(k, n);
  if (k === 0 || p >= 1) return 1;
  if (p <= 0) return 0;
  const first = Math.exp(logChoose(n, k) + k * Math.log(p) + (n - k) * Math.log1p(-p));
  let term = 1;
  let sum = 1;
  // Each probability from the one before; all are positive, so nothing cancels.
  for (let j = k; j < n; j++) {
    term *= ((n - j) / (j + 1)) * (p / (1 - p));
    sum += term;
  }
  return Math.min(1, first * sum);
}

/** Exact one-sided p: the chance of a score this good or better by guessing at `chance`. */
export function oneSidedP(correct: number, n: number, chance = 0.5): number {
  return upperTail(correct, n, chance);
}

/** Exact two-sided p against ½: twice the smaller tail, at most 1. The distribution is symmetric there. */
export function twoSidedP(k: number, n: number): number {
  checkCounts(k, n);
  return Math.min(1, 2 * upperTail(Math.max(k, n - k), n));
}

/** The fewest correct of n that give a one-sided p of `alpha` or less; null when even n of n doesn't. */
export function minimumCorrect(n: number, alpha: number, chance = 0.5): number | null {
  for (let k = 0; k <= n; k++) if (oneSidedP(k, n, chance) <= alpha) return k;
  return null;
}

/** The larger of the two counts that gives a two-sided p of `alpha` or less against ½; null when even n doesn't. */
export function minimumAgreeing(n: number, alpha: number): number | null {
  for (let k = Math.ceil(n / 2); k <= n; k++) if (twoSidedP(k, n) <= alpha) return k;
  return null;
}

/** Chance that a listener who is right with probability `p` gets at least `needed` of n. */
export function power(needed: number, n: number, p: number): number {
  return upperTail(needed, n, p);
}

/**
 * Exact interval of the success probability after k of n (Clopper and Pearson 1934 [M]): each tail holds at most
 * (1 − confidence)/2. Bounds to 1e-12. Not valid where the number of trials depended on the answers; see e-value.ts.
 */
export function clopperPearson(k: number, n: number, confidence = 0.95): Range {
  checkCounts(k, n);
  const tail = (1 - confidence) / 2;
  // The lower bound is the upper bound of the failures, turned round.
  return { low: 1 - upperBound(n - k, n, 1 - tail), high: upperBound(k, n, 1 - tail) };
}

/** Exact one-sided upper bound of the success probability: from there on, k or fewer have a chance of 1 − confidence. */
export function upperBound(k: number, n: number, confidence = 0.95): number {
  checkCounts(k, n);
  if (k === n) return 1;
  let [low, high] = [k / n, 1];
  while (high - low > 1e-12) {
    const middle = (low + high) / 2;
    // P(K ≤ k) at p is P(n − K ≥ n − k) at 1 − p.
    if (upperTail(n - k, n, 1 - middle) > 1 - confidence) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function checkCounts(k: number, n: number): void {
  if (!Number.isInteger(k) || !Number.isInteger(n) || k < 0 || k > n) {
    throw new RangeError(`${k} of ${n} is not a score; it takes whole numbers with 0 ≤ k ≤ n.`);
  }
}
