/**
 * Preference pairs: which of two do you like? Two sides are a binomial question with two directions; more sides are
 * placed on one scale by the Bradley-Terry model.
 */
import type { TrialRule } from './abx.ts';
import { ALPHA } from './abx.ts';
import { anyPreferenceP } from './any-preference.ts';
import { clopperPearson, type Range, twoSidedP } from './binomial.ts';
import type { BradleyTerryFit } from './bradley-terry.ts';
import { bradleyTerry } from './bradley-terry.ts';
import { CONFIRM_AT } from './confirm.ts';
import { confidenceSequence, eValue } from './e-value.ts';
import { BlindTrialError } from './trial-plan.ts';

export interface PreferenceResult {
  readonly kind: 'preference';
  /** Among several sides: whether they are told apart at all. */
  readonly verdict: 'preferred' | 'not-shown' | 'incomplete';
  readonly trials: number;
  readonly names: readonly string[];
  /** wins[i][j]: how often i was chosen over j. */
  readonly wins: readonly (readonly number[])[];
  /** Index of the preferred of two sides, where one was shown. */
  readonly preferred: number | null;
  /** Fixed number: two sides, exact two-sided p; several, p of all of them being alike (`anyPreferenceP`). */
  readonly p: number | null;
  /** Two sides, stop-any-time: the greater of both directions' e-values; each has a threshold of 40. */
  readonly eValue: number | null;
  /** Two sides: 95 % interval of the chance that the second side is chosen. */
  readonly interval: Range | null;
  /** Several sides: the scale, or why there is none. */
  readonly scale: BradleyTerryFit | null;
  readonly scaleRefused: string | null;
}

export function preferenceResult(
  wins: readonly (readonly number[])[],
  names: readonly string[],
  rule: TrialRule,
): PreferenceResult {
  const trials = wins.flat().reduce((sum, count) => sum + count, 0);
  const base = {
    kind: 'preference',
    trials,
    names,
    wins,
    preferred: null,
    p: null,
    eValue: null,
    interval: null,
    scale: null,
    scaleRefused: null,
  } as const;
  if (names.length > 2) {
    const isWhole = rule.type === 'fixed' && trials === rule.trials;
    const p = isWhole ? anyPreferenceP(wins) : null;
    const verdict = p === null ? 'incomplete' : p <= ALPHA ? 'preferred' : 'not-shown';
    return { ...base, verdict, p, ...scaleOf(wins, names) };
  }
  const second = wins[1][0];
  const ahead = second * 2 > trials ? 1 : 0;
  if (rule.type === 'fixed') {
    if (trials !== rule.trials) return { ...base, verdict: 'incomplete' };
    const p = twoSidedP(second, trials);
    const shown = p <= ALPHA;
    const interval = clopperPearson(second, trials);
    return { ...base, verdict: shown ? 'preferred' : 'not-shown', preferred: shown ? ahead : null, p, interval };
  }
  const e = Math.max(eValue(second, trials), eValue(trials - second, trials));
  const shown = e >= CONFIRM_AT;
  return {
    ...base,
    verdict: shown ? 'preferred' : 'not-shown',
    preferred: shown ? ahead : null,
    eValue: e,
    interval: confidenceSequence(second, trials),
  };
}

function scaleOf(
  wins: readonly (readonly number[])[],
  names: readonly string[],
): Pick<PreferenceResult, 'scale' | 'scaleRefused'> {
  try {
    return { scale: bradleyTerry(wins, names, 0), scaleRefused: null };
  } catch (error) {
    if (error instanceof BlindTrialError) return { scale: null, scaleRefused: error.message };
    throw error;
  }
}
