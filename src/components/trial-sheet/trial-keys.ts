import { tinykeys } from 'tinykeys';
import type { Slot } from '../../stores/trial-store.ts';
import { bindEscape } from '../keys/escape.ts';
import { isTyping, pressesThere, takeKey, takesSpace } from '../keys/typing.ts';

export interface TrialKeyTargets {
  /** A question is on the screen; the keys belong to it. */
  readonly asking: () => boolean;
  readonly hear: (slot: Slot) => void;
  readonly choose: (choice: 'first' | 'second') => void;
  /** Gives the answer that is chosen, or goes on to the next pair. */
  readonly enter: () => void;
  /** Goes on to the next pair, and never answers: Space is pressed too easily. */
  readonly space: () => void;
  /** Something is heard. */
  readonly sounding: () => boolean;
  readonly muted: () => boolean;
  readonly setMuted: (on: boolean) => void;
}

/** The keys of a trial, in the order in which the screen explains them. */
export const TRIAL_KEYS: readonly (readonly [keys: readonly string[], does: string])[] = [
  [['1', '2', '3'], 'Hear the first, the second, X'],
  [['F', 'S'], 'Choose the first or the second as your answer; Enter gives it'],
  [['Enter'], 'Give the chosen answer, start the next pair'],
  [['Esc'], 'Silence at once, and release it'],
];

/** Binds the keys of the running trial; returns what releases them. */
export function bindTrialKeys(
  target: Window,
  { asking, hear, choose, enter, space, sounding, muted, setMuted }: TrialKeyTargets,
) {
  const plain: Record<string, () => void> = {
    '1': () => hear('first'),
    '2': () => hear('second'),
    '3': () => hear('x'),
    x: () => hear('x'),
    f: () => choose('first'),
    s: () => choose('second'),
  };
  const guarded = Object.fromEntries(
    Object.entries(plain).map(([key, act]) => [
      key,
      (event: KeyboardEvent) => {
        if (event.defaultPrevented || event.repeat || asking() || isTyping(event)) return;
        event.preventDefault();
        act();
      },
    ]),
  );
  // Where a button was reached by keyboard Space presses it; Enter presses any button that has the focus.
  const go = (act: () => void, keeps: (event: KeyboardEvent) => boolean) => (event: KeyboardEvent) => {
    if (event.defaultPrevented || asking() || isTyping(event) || keeps(event)) return;
    takeKey(event);
    if (!event.repeat) act();
  };
  const releaseKeys = tinykeys(target, { ...guarded, Enter: go(enter, pressesThere), Space: go(space, takesSpace) });
  const releaseEscape = bindEscape(target, {
    sounding,
    silence: () => setMuted(true),
    otherwise: (event) => {
      if (!asking() && !isTyping(event)) setMuted(!muted());
    },
  });
  return () => {
    releaseKeys();
    releaseEscape();
  };
}
