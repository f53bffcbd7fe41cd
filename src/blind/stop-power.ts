/** What a rule that may stop after every trial shows of listeners of a given skill. */

export interface StopPower {
  /** Chance that the rule stops within the cap. */
  readonly chance: number;
  /** Trials it takes on average, the cap where it doesn't stop. */
  readonly trials: number;
}

/**
 * Exact, by carrying the probability of every score on from trial to trial.
 * @param rate chance of an answer in the direction that is looked for
 * @param stops whether the rule stops at `count` such answers of `trials`
 */
export function stopPower(rate: number, cap: number, stops: (count: number, trials: number) => boolean): StopPower {
  let running = Float64Array.of(1);
  let chance = 0;
  let trials = 0;
  for (let n = 1; n <= cap; n++) {
    trials += running.reduce((sum, p) => sum + p, 0);
    const next = new Float64Array(n + 1);
    for (let k = 0; k < n; k++) {
      next[k] += (1 - rate) * running[k];
      next[k + 1] += rate * running[k];
    }
    for (let k = 0; k <= n; k++) {
      if (!stops(k, n)) continue;
      chance += next[k];
      next[k] = 0;
    }
    running = next;
  }
  return { chance, trials };
}
