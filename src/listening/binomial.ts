/**
 * Exact statistics of n independent yes-or-no trials. Tails of the binomial distribution are values of the beta
 * distribution: P(K ≥ k) = I_p(k, n − k + 1), and its quantiles give the exact interval (Clopper and Pearson 1934 [M]).
 */
import betaCdf from '@stdlib/stats-base-dists-beta-cdf';
import betaQuantile from '@stdlib/stats-base-dists-beta-quantile';

/** A closed range of a proportion or a rate. */
export interface Range {
  readonly low: number;
  readonly high: number;
}

/** Chance of k or more successes in n trials with success probability p. @throws RangeError for counts that aren't */
export function upperTail(k: number, n: number, p = 0.5): number {
  checkCounts(k, n);
  return k === 0 ? 1 : betaCdf(p, k, n - k + 1);
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
 * Exact interval of the success probability after k of n: each tail holds at most (1 − confidence)/2.
 * Not valid where the number of trials depended on the answers; see e-value.ts for that.
 */
export function clopperPearson(k: number, n: number, confidence = 0.95): Range {
  checkCounts(k, n);
  const tail = (1 - confidence) / 2;
  return {
    low: k === 0 ? 0 : betaQuantile(tail, k, n - k + 1),
    high: k === n ? 1 : betaQuantile(1 - tail, k + 1, n - k),
  };
}

/** Exact one-sided upper bound of the success probability: anything above would give k or fewer in under 1 − confidence. */
export function upperBound(k: number, n: number, confidence = 0.95): number {
  checkCounts(k, n);
  return k === n ? 1 : betaQuantile(confidence, k + 1, n - k);
}

function checkCounts(k: number, n: number): void {
  if (!Number.isInteger(k) || !Number.isInteger(n) || k < 0 || k > n) {
    throw new RangeError(`${k} of ${n} is not a score; it takes whole numbers with 0 ≤ k ≤ n.`);
  }
}
