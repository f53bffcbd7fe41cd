/**
 * Drive search: forced choices between two amounts of one control, until the amount a listener likes best is known to an
 * interval. The model is in drive-model.ts, the choice of pairs in drive-design.ts.
 */
import type { Decibels } from '../dsp/units.ts';
import { candidateAmounts, candidatePairs, nextPair } from './drive-design.ts';
import { DriveModel } from './drive-model.ts';
import type { DrawLog } from './random-bits.ts';
import type { Amount, DriveAnswer } from './shape-set.ts';

/** A preference counts as shown from this Bayes factor of one peak against none: under none, in at most 1 of 20. */
export const PREFERENCE_FACTOR = 20;
/** The result warns from this Bayes factor of a valley against one peak or none; Jeffreys calls it strong [M]. */
export const MISFIT_FACTOR = 10;
/** The search doesn't stop for its width before this many answers. */
export const FEWEST_ANSWERS = 12;
export const INTERVAL_SHARE = 0.9;
/** Steps of the drawn interval of a chance. */
const CHANCE_STEPS = 1000;

export interface DriveSearchSettings {
  readonly min: Decibels;
  readonly max: Decibels;
  /** The most answers, 24 to 32. */
  readonly trials: number;
  /** The search stops when a preference is shown and the 90 % interval is this narrow, dB; 0 never stops early. */
  readonly widthDb: Decibels;
}

export interface CurvePoint {
  readonly amountDb: Amount;
  /** Chance of being chosen over clean in a fair pair: mean and 90 % interval. */
  readonly overClean: number;
  readonly low: number;
  readonly high: number;
  /** Utility below the best point of each curve, mean, logits: at most 0. */
  readonly utility: number;
}

export interface DriveSearchResult {
  readonly kind: 'drive-search';
  /**
   * no-preference: the answers don't show any. clean: less is better, down to none. amount: a best amount inside the
   * range. greatest: more is better up to the end of the range.
   */
  readonly verdict: 'no-preference' | 'clean' | 'amount' | 'greatest';
  readonly answers: number;
  /** Median of the peak's posterior, null for clean; it stands here even where no preference was shown. */
  readonly preferredDb: Amount;
  /** 90 % interval of the peak; null is clean. */
  readonly low: Amount;
  readonly high: Amount;
  readonly cleanProbability: number;
  /** How much better one peak explains the answers than no preference. */
  readonly preferenceFactor: number;
  /** How much better curves with a valley between two better amounts explain them than one peak or no preference. */
  readonly misfitFactor: number;
  /** The answers don't fit one peak: `misfitFactor` is at least 10. */
  readonly misfit: boolean;
  readonly curve: readonly CurvePoint[];
  /** Probability of each place of the peak, for drawing. */
  readonly peak: readonly { readonly amountDb: Amount; readonly probability: number }[];
}

export class DriveSearch {
  readonly #model: DriveModel;
  readonly #pairs: [Amount, Amount][];
  readonly #answers: DriveAnswer[] = [];
  readonly settings: DriveSearchSettings;

  constructor(settings: DriveSearchSettings) {
    this.settings = settings;
    this.#model = new DriveModel(settings.min, settings.max);
    this.#pairs = candidatePairs(this.#model);
  }

  /** Every amount that may be played, clean first: each is rendered and matched for itself. */
  get amounts(): readonly Amount[] {
    return candidateAmounts(this.#model);
  }

  get answers(): readonly DriveAnswer[] {
    return this.#answers;
  }

  /** The lesser and the greater amount to compare next; the order of play is another draw. */
  next(log: DrawLog): [Amount, Amount] {
    return nextPair(this.#model, this.#pairs, log);
  }

  record(answer: DriveAnswer): void {
    this.#answers.push(answer);
    this.#model.update(answer);
  }

  get done(): boolean {
    const { trials, widthDb } = this.settings;
    if (this.#answers.length >= trials) return true;
    const enough = this.#answers.length >= FEWEST_ANSWERS && this.#model.preferenceFactor >= PREFERENCE_FACTOR;
    return widthDb > 0 && enough && this.#width() <= widthDb;
  }

  result(): DriveSearchResult {
    const model = this.#model;
    const marginal = model.peakProbabilities();
    const { preferenceFactor, misfitFactor } = model;
    const preferredDb = model.peakQuantile(0.5);
    const end = marginal[marginal.length - 1];
    const shown = preferenceFactor >= PREFERENCE_FACTOR;
    return {
      kind: 'drive-search',
      verdict: !shown ? 'no-preference' : preferredDb === null ? 'clean' : end >= 0.5 ? 'greatest' : 'amount',
      answers: this.#answers.length,
      preferredDb,
      low: model.peakQuantile((1 - INTERVAL_SHARE) / 2),
      high: model.peakQuantile((1 + INTERVAL_SHARE) / 2),
      cleanProbability: marginal[0],
      preferenceFactor,
      misfitFactor,
      misfit: misfitFactor >= MISFIT_FACTOR,
      curve: candidateAmounts(model).map((amount) => this.#curvePoint(amount)),
      peak: [null, ...model.peaks].map((amountDb, i) => ({ amountDb, probability: marginal[i] })),
    };
  }

  /** Width of the 90 % interval; clean counts as one distance between pairs below the least amount. */
  #width(): Decibels {
    const at = (share: number) => this.#model.peakQuantile(share) ?? this.#model.min - 1;
    return at((1 + INTERVAL_SHARE) / 2) - at((1 - INTERVAL_SHARE) / 2);
  }

  #curvePoint(amountDb: Amount): CurvePoint {
    const { weights } = this.#model.peak;
    const [own, clean] = [this.#model.peak.utilities(amountDb), this.#model.peak.utilities(null)];
    const bins = new Float64Array(CHANCE_STEPS + 1);
    let overClean = 0;
    let utility = 0;
    for (let i = 0; i < weights.length; i++) {
      const chance = 1 / (1 + Math.exp(clean[i] - own[i]));
      bins[Math.round(chance * CHANCE_STEPS)] += weights[i];
      overClean += weights[i] * chance;
      utility += weights[i] * own[i];
    }
    const quantile = (share: number) => {
      let cumulated = 0;
      const found = bins.findIndex((mass) => (cumulated += mass) >= share);
      return (found < 0 ? CHANCE_STEPS : found) / CHANCE_STEPS;
    };
    return {
      amountDb,
      overClean,
      low: quantile((1 - INTERVAL_SHARE) / 2),
      high: quantile((1 + INTERVAL_SHARE) / 2),
      utility,
    };
  }
}
