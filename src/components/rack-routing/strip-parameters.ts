import type { ContinuousParameter } from '../../engine/parameters.ts';

const common = { place: 'face', type: 'continuous', taper: 'linear', default: 0 } as const;

/** What follows a rack; the document holds wider ranges than a hand needs. */
export const gain: ContinuousParameter = {
  ...common,
  id: 'gain',
  label: 'Gain',
  about: 'Level after the rack, the same on both sides. 0 dB leaves it.',
  unit: 'dB',
  min: -60,
  max: 24,
  step: 0.5,
  digits: 1,
};

export const balance: ContinuousParameter = {
  ...common,
  id: 'pan',
  label: 'Balance',
  about: 'Left (L or negative) to right (R or positive), the same on both sides.',
  unit: '%',
  min: -100,
  max: 100,
  step: 5,
  digits: 0,
  signs: ['L', 'R'],
};

/** For several strips at once: nothing to hold, only something to add. */
export const gainBy: ContinuousParameter = {
  ...gain,
  id: 'gain-by',
  label: 'Gain by',
  about: 'Added to the gain of each selected channel and bus.',
  min: -24,
};
