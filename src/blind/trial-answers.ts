/** What the answer to one recorded trial means. */
import type { RecordedTrial } from './trial-record.ts';
import { slotsOf } from './trial-record.ts';

/** Whether the trial counts: neither training, nor a catch trial, nor discarded, and answered. */
export function counts(trial: RecordedTrial): boolean {
  return trial.role === 'scored' && trial.discarded === null && trial.answer !== null;
}

/** ABX: whether the answer names what X is. */
export function isRight(trial: RecordedTrial): boolean {
  return (trial.answer === 'first') === (trial.xCoin === 0);
}

/** What was chosen of an answered pair, and what was not. */
export function choiceOf(trial: RecordedTrial) {
  const { first, second } = slotsOf(trial);
  return trial.answer === 'first' ? { winner: first, loser: second } : { winner: second, loser: first };
}

/** One answer of a drive search in the order it was heard. */
export function driveAnswer(trial: RecordedTrial) {
  const { first, second } = slotsOf(trial);
  return { first: first.amountDb, second: second.amountDb, chosen: trial.answer as 'first' | 'second' };
}
