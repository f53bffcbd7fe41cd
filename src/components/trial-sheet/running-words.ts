/** What the running trial says. Nothing here may depend on which sound is which. */
import type { Slot, TrialState } from '../../stores/trial-store.ts';

export const SLOT_NAMES: Record<Slot, string> = { first: 'First', second: 'Second', x: 'X' };

export function answerWords(kind: TrialState['kind']): { question: string; first: string; second: string } {
  return kind === 'abx'
    ? { question: 'What is X?', first: 'X is the first', second: 'X is the second' }
    : { question: 'Which one do you like better?', first: 'I like the first', second: 'I like the second' };
}

export function goWords(now: TrialState, waiting: boolean): string {
  if (!waiting) return 'Give this answer';
  if (now.phase === 'break') return 'Go on';
  return isBeginning(now) ? 'Start the first pair' : 'Next pair';
}

function isBeginning({ trial, discarded }: TrialState): boolean {
  return trial === 1 && discarded === 0;
}

/** Between two pairs. */
export function afterWords(now: TrialState): string {
  const { feedback, phase, lastDiscard } = now;
  if (feedback === 'right') return 'Right.';
  if (feedback === 'wrong') return 'Not right: X was the other one.';
  if (phase === 'break' || lastDiscard !== null) return '';
  return isBeginning(now) ? 'It begins softly, with the first sound.' : 'Answered.';
}

export function breakWords({ trial }: TrialState): string {
  return `You have answered ${trial - 1} pairs. A minute of silence helps; go on when you like.`;
}

export function hearFirstWords(slots: readonly Slot[]): string {
  const names = slots.map((slot) => (slot === 'x' ? 'X' : `the ${slot}`));
  const last = names.pop();
  return `Hear ${names.length > 0 ? `${names.join(', ')} and ${last}` : last} before you answer.`;
}

export function scoreWords({ answered, correct, eValue }: NonNullable<TrialState['score']>): string {
  return `${correct} of ${answered} right, e-value ${eValue < 100 ? eValue.toFixed(2) : eValue.toFixed(0)}; heard from 20 on`;
}

export function stopWords({ kind, of, phase }: TrialState): string {
  const pair = phase === 'playing' ? 'The pair at hand is left out. ' : '';
  if (kind === 'drive-search')
    return `${pair}The best amount is worked out from the answers so far; the interval is wider.`;
  if (of === null) return `${pair}What was answered counts as it stands.`;
  return `${pair}Your answers are kept, but a fixed number that is stopped early allows no conclusion.`;
}
