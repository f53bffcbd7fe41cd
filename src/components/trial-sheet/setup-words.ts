import type { QuestionKind } from './trial-draft.ts';

/** What the setup says about each question. */
export const QUESTIONS: readonly {
  readonly kind: QuestionKind;
  readonly name: string;
  readonly about: string;
  /** How it goes, in three lines. */
  readonly steps: readonly [string, string, string];
}[] = [
  {
    kind: 'abx',
    name: 'Can I hear it?',
    about: 'Two sounds and an X that is one of them. You say which.',
    steps: [
      'Hear the first, the second and X from the same place of the loop, as often as you like.',
      'Say whether X is the first or the second. Where you can’t tell, guess: a guess counts too.',
      'Which was which is shown at the end, for every pair.',
    ],
  },
  {
    kind: 'preference',
    name: 'Which do I like?',
    about: 'Sounds in pairs. You choose one of each pair.',
    steps: [
      'Hear the first and the second from the same place of the loop, as often as you like.',
      'Choose the one you like better. There are no ties: where you can’t decide, choose either.',
      'Which was which is shown at the end, for every pair.',
    ],
  },
  {
    kind: 'drive-search',
    name: 'How much is best?',
    about: 'Two amounts of one control in each pair. Your choices close in on the best amount.',
    steps: [
      'Hear two amounts, the first and the second, from the same place of the loop.',
      'Choose the one you like better. Each next pair is where your answer tells most.',
      'At the end you get the best amount with its interval, and can set the control to it.',
    ],
  },
];

/** Goes with every question. */
export const CHECKS =
  'Two pairs for training come first. Later about one pair in eight is a check on attention. Neither counts.';

export const LEVEL =
  'Set your monitor level now and leave it there. The first sound of every pair comes in softly, and Escape silences it at once.';

/** In place of what a trial can show, before there is anything to try. */
export const LOADING = 'The session is still loading. What can be compared stands here as soon as it is there.';
