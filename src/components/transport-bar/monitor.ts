import type { ContinuousParameter } from '../../engine/parameters.ts';

/** The control of the level one listens at. */
export const monitor: ContinuousParameter = {
  id: 'monitor',
  label: 'Monitor',
  about: 'How loud you listen. It is not part of the session or an export.',
  place: 'face',
  type: 'continuous',
  unit: 'dB',
  min: -60,
  max: 0,
  default: 0,
  taper: 'linear',
  step: 1,
  digits: 1,
};
