import type { DiscardReason, TrialAnalysis, TrialRecord } from '../../stores/trial-store.ts';

const REASONS: Record<DiscardReason, string> = {
  'not-matched': 'not matched to 0.1 LU',
  'sound-interrupted': 'the sound was interrupted',
  'tab-hidden': 'the page was hidden',
  'device-changed': 'the output device changed',
  'loop-silent': 'the loop was silent',
  listener: 'left out when you stopped',
};

/** Why a pair was discarded, as part of a sentence. */
export function reasonWords(reason: DiscardReason): string {
  return REASONS[reason];
}

/** How one listened: the checks, a liking for the first or the second, and what was discarded. One sentence each. */
export function listeningNotes(analysis: TrialAnalysis, { plan }: TrialRecord): string[] {
  const { catches, counted, choseFirst, training, discarded, discardReasons } = analysis;
  const { overdriven, louder, identical } = catches;
  const notes: string[] = [];
  if (catches.presented === 0) notes.push('There was no check on attention in these pairs.');
  else if (catches.withRightAnswer > 0) {
    notes.push(
      `Checks on attention: ${catches.missed} missed of ${catches.withRightAnswer} that have a right answer.${
        catches.missed > 1 && 2 * catches.missed > catches.withRightAnswer ? ' Take the result with caution.' : ''
      }`,
    );
  }
  if (overdriven.presented > 0 && plan.kind !== 'abx') {
    notes.push(`Plainly overdriven: chosen in ${overdriven.missed} of ${pairs(overdriven.presented)}.`);
  }
  if (louder.presented > 0) {
    notes.push(
      louder.missed === null
        ? `The same sound 1 dB louder: chosen in ${louder.choseLouder} of ${pairs(louder.presented)}.`
        : `The same sound 1 dB louder: X named wrongly in ${louder.missed} of ${pairs(louder.presented)}.`,
    );
  }
  if (identical.presented > 0) {
    notes.push(`The same sound twice: the first chosen in ${identical.choseFirst} of ${pairs(identical.presented)}.`);
  }
  if (counted > 0) {
    notes.push(
      `Habit: the answer was the first in ${choseFirst} of ${pairs(counted)} that count; the draws put either there by a fair coin.`,
    );
  }
  if (discarded > 0) {
    const why = Object.entries(discardReasons).map(([reason, n]) => `${n} ${REASONS[reason as DiscardReason]}`);
    notes.push(`Discarded: ${pairs(discarded)} (${why.join('; ')}).`);
  }
  if (training > 0) notes.push(`Training: ${pairs(training)}, not counted.`);
  return notes;
}

function pairs(count: number): string {
  return count === 1 ? '1 pair' : `${count} pairs`;
}
