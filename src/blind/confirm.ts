/**
 * Fresh trials of one amount against clean. Two e-values run side by side, one for "it is chosen", one for "clean is
 * chosen"; each has a threshold of 40, so that for a listener without a preference the two together are wrong in at most
 * 1/40 + 1/40 = 5 % of sessions, however long they last. Only this supports "it helps" or "it hurts": the drive search
 * found the amount by the same answers that would have to prove it.
 */
import type { Range } from './binomial.ts';
import { confidenceSequence, eValue } from './e-value.ts';

/** Threshold of each direction. */
export const CONFIRM_AT = 40;

export interface ConfirmResult {
  readonly kind: 'confirm';
  readonly verdict: 'helps' | 'hurts' | 'not-shown';
  readonly trials: number;
  /** How often the amount was chosen over clean. */
  readonly chosen: number;
  readonly eValueHelps: number;
  readonly eValueHurts: number;
  /** 95 % confidence sequence of the chance of choosing the amount: what lies outside is ruled out. */
  readonly interval: Range;
}

/** Whether either direction has reached its threshold. */
export function confirmDecided(chosen: number, trials: number): boolean {
  return eValue(chosen, trials) >= CONFIRM_AT || eValue(trials - chosen, trials) >= CONFIRM_AT;
}

export function confirmResult(chosen: number, trials: number): ConfirmResult {
  const eValueHelps = eValue(chosen, trials);
  const eValueHurts = eValue(trials - chosen, trials);
  return {
    kind: 'confirm',
    verdict: eValueHelps >= CONFIRM_AT ? 'helps' : eValueHurts >= CONFIRM_AT ? 'hurts' : 'not-shown',
    trials,
    chosen,
    eValueHelps,
    eValueHurts,
    interval: confidenceSequence(chosen, trials),
  };
}
