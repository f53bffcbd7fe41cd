import { tinykeys } from 'tinykeys';
import type { Slot } from '../context/trial-store.ts';
import { isTyping, takesSpace } from '../keys/typing.ts';

export interface TrialKeyTargets {
  /** A question is on the screen; the keys belong to it. */
  readonly asking: () => boolean;
  readonly hear: (slot: Slot) => void;
  readonly choose: (choice: 'first' | 'second') => void;
  /** Gives the answer that is chosen, or goes on to the next pair. */
  readonly enter: () => void;
  /** Goes on to the next pair, and never answers: Space is pressed too easily. */
  readonly space: () => void;
  readonly mute: () => void;
}

/** The keys of a trial, in the order in which the screen explains them. */
export const TRIAL_KEYS: readonly (readonly [keys: readonly string[], does: string])[] = [
  [['1', '2', '3'], 'Hear the first, the second, X'],
  [['F', 'S'], 'Choose the first or the second as your answer; Enter gives it'],
  [['Enter'], 'Give the chosen answer, start the next pair'],
  [['Esc'], 'Silence at once, and release it'],
];

/** Binds the keys of the running trial; returns what releases them. */
export function bindTrialKeys(target: Window, { asking, hear, choose, enter, space, mute }: TrialKeyTargets) {
  const plain: Record<string, () => void> = {
    '1': () => hear('first'),
    '2': () => hear('second'),
    '3': () => hear('x'),
    x: () => hear('x'),
    f: () => choose('first'),
    s: () => choose('second'),
    Escape: mute,
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
  // On a button these two keys keep their meaning: they press it.
  const go = (act: () => void) => (event: KeyboardEvent) => {
    if (event.defaultPrevented || asking() || isTyping(event) || takesSpace(event)) return;
    event.preventDefault();
    if (!event.repeat) act();
  };
  return tinykeys(target, { ...guarded, Enter: go(enter), Space: go(space) });
}
