/**
 * Which pair to play next in a drive search: the one whose answer is expected to tell most about the listener's curve.
 * The expected information gain of a pair is the entropy of its answer less the entropy that stays when the curve is
 * known, H(mean P) − mean H(P), over curves that stand for the posterior. All three families of drive-model.ts have
 * their share: else the search would soon play only pairs about the peak, which sound alike to a listener with a
 * preference and to one without, and would never look for a second peak.
 */
import type { DriveModel } from './drive-model.ts';
import type { DrawLog } from './random-bits.ts';
import type { Amount, ShapeSet } from './shape-set.ts';

/** Amounts of a pair are at least this far apart, dB; clean is far from every amount by itself. */
export const LEAST_DISTANCE_DB = 1;
/** The next pair is drawn from this many of the most telling. */
export const BEST_PAIRS = 12;

/** Curves that stand for the posterior. */
const SAMPLES = 160;
/** Share of answers without listening that the choice of pairs reckons with. */
const LAPSE = 0.03;
/** Chance of choosing the second and its entropy, in steps of 1/16 logit from −16 to 16. */
const STEPS_PER_LOGIT = 16;
const REACH = 16;
const CHANCE = new Float64Array(2 * REACH * STEPS_PER_LOGIT + 1);
const ENTROPY = new Float64Array(CHANCE.length);
for (let i = 0; i < CHANCE.length; i++) {
  CHANCE[i] = LAPSE / 2 + (1 - LAPSE) / (1 + Math.exp(REACH - i / STEPS_PER_LOGIT));
  ENTROPY[i] = entropy(CHANCE[i]);
}

/** Amounts to compare: clean, then 25 equal steps from the least to the greatest. */
export function candidateAmounts(model: DriveModel): Amount[] {
  return [null, ...model.peaks.filter((_, i) => i % 2 === 0)];
}

/** All pairs that may be played, the lesser amount first. */
export function candidatePairs(model: DriveModel): [Amount, Amount][] {
  const amounts = candidateAmounts(model);
  return amounts.flatMap((low, i) =>
    amounts
      .slice(i + 1)
      .filter((high) => low === null || (high as number) - low >= LEAST_DISTANCE_DB - 1e-9)
      .map((high): [Amount, Amount] => [low, high]),
  );
}

/** Draws one of the `BEST_PAIRS` most telling pairs, each with the same chance. */
export function nextPair(model: DriveModel, pairs: readonly [Amount, Amount][], log: DrawLog): [Amount, Amount] {
  const utilities = new Map(candidateAmounts(model).map((amount) => [amount, sampledUtilities(model, amount)]));
  const best = pairs
    .map((pair) => ({ pair, information: information(utilities.get(pair[0])!, utilities.get(pair[1])!) }))
    .sort((a, b) => b.information - a.information)
    .slice(0, BEST_PAIRS);
  return best[log.below(best.length, 'drive pair')].pair;
}

/** Expected information of a pair in nats, from both amounts' utilities under the same curves. */
export function information(low: Float64Array, high: Float64Array): number {
  let chance = 0;
  let known = 0;
  for (let i = 0; i < low.length; i++) {
    const ahead = Math.min(REACH, Math.max(-REACH, high[i] - low[i]));
    const at = Math.round((ahead + REACH) * STEPS_PER_LOGIT);
    chance += CHANCE[at];
    known += ENTROPY[at];
  }
  return entropy(chance / low.length) - known / low.length;
}

/** Utilities of an amount under curves at even steps of each family's cumulated probability; it needs no draws. */
export function sampledUtilities(model: DriveModel, amount: Amount): Float64Array {
  const share = model.families();
  const valleys = Math.round(SAMPLES * share.valley);
  const peaks = Math.round(SAMPLES * share.peak);
  const sampled = new Float64Array(SAMPLES);
  sample(model.peak, amount, sampled.subarray(0, peaks));
  sample(model.valley, amount, sampled.subarray(peaks, Math.min(SAMPLES, peaks + valleys)));
  return sampled;
}

function sample<Shape>(family: ShapeSet<Shape>, amount: Amount, into: Float64Array): void {
  const utilities = family.utilities(amount);
  let shape = 0;
  let cumulated = family.weights[0];
  for (let i = 0; i < into.length; i++) {
    const target = (i + 0.5) / into.length;
    while (cumulated < target && shape < utilities.length - 1) cumulated += family.weights[++shape];
    into[i] = utilities[shape];
  }
}

function entropy(p: number): number {
  return p <= 0 || p >= 1 ? 0 : -p * Math.log(p) - (1 - p) * Math.log(1 - p);
}
