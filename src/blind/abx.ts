/**
 * ABX: can a listener tell two sides apart? X is one of them by a fair coin; the answer says whether it equals the first
 * or the second. Two rules: a number of trials fixed beforehand with the exact binomial p, or the e-value that may be
 * looked at after every trial.
 */
import { clopperPearson, minimumCorrect, oneSidedP, power, type Range, upperBound } from './binomial.ts';
import { confidenceSequence, eValue, STOP_AT } from './e-value.ts';
import { abxIndependent, dPrimeFrom } from './thurstone.ts';

export const ALPHA = 0.05;

export type TrialRule =
  | { readonly type: 'fixed'; readonly trials: number }
  | { readonly type: 'any-time'; readonly cap: number };

export interface RuledOut {
  /** Being right more often than this is ruled out with 95 % confidence. */
  readonly rightRate: number;
  /** The same as a share of trials in which the difference was heard, the rest being guesses: 2·rate − 1, at least 0. */
  readonly heardShare: number;
  /** The same as d′, where each sound is judged for itself (thurstone.ts); null where no finite d′ is ruled out. */
  readonly dPrime: number | null;
}

export interface AbxResult {
  readonly kind: 'abx';
  /** incomplete: a fixed number was stopped early, so its p has no meaning. */
  readonly verdict: 'heard' | 'not-shown' | 'incomplete';
  readonly rule: 'fixed' | 'any-time';
  readonly trials: number;
  readonly correct: number;
  /** Exact one-sided p; only for a completed fixed number. */
  readonly p: number | null;
  /** Only under the stop-any-time rule. */
  readonly eValue: number | null;
  /** 95 % interval of the chance of being right: Clopper-Pearson, or the confidence sequence under stop-any-time. */
  readonly interval: Range | null;
  readonly intervalMethod: 'clopper-pearson' | 'confidence-sequence' | null;
  /** For a null result: what the answers speak against nevertheless. */
  readonly ruledOut: RuledOut | null;
}

/** The fewest right of n that count as heard at 5 %, and how likely listeners of given skill reach it. */
export function fixedPlan(trials: number): { needed: number | null; power: (rightRate: number) => number } {
  const needed = minimumCorrect(trials, ALPHA);
  return { needed, power: (rightRate) => (needed === null ? 0 : power(needed, trials, rightRate)) };
}

/** `correct` of `trials` under the rule; the trials of a fixed number that was stopped early give no p. */
export function abxResult(correct: number, trials: number, rule: TrialRule): AbxResult {
  const base = { kind: 'abx', rule: rule.type, trials, correct } as const;
  if (rule.type === 'fixed') {
    if (trials !== rule.trials) {
      const nothing = { p: null, eValue: null, interval: null, intervalMethod: null, ruledOut: null };
      return { ...base, ...nothing, verdict: 'incomplete' };
    }
    const p = oneSidedP(correct, trials);
    const heard = p <= ALPHA;
    return {
      ...base,
      verdict: heard ? 'heard' : 'not-shown',
      p,
      eValue: null,
      interval: clopperPearson(correct, trials),
      intervalMethod: 'clopper-pearson',
      ruledOut: heard ? null : ruledOut(upperBound(correct, trials)),
    };
  }
  const e = eValue(correct, trials);
  const interval = confidenceSequence(correct, trials);
  const heard = e >= STOP_AT;
  return {
    ...base,
    verdict: heard ? 'heard' : 'not-shown',
    p: null,
    eValue: e,
    interval,
    intervalMethod: 'confidence-sequence',
    ruledOut: heard ? null : ruledOut(interval.high),
  };
}

function ruledOut(rightRate: number): RuledOut {
  const dPrime = dPrimeFrom(abxIndependent, rightRate);
  return {
    rightRate,
    heardShare: Math.max(0, 2 * rightRate - 1),
    dPrime: Number.isFinite(dPrime) ? dPrime : null,
  };
}
