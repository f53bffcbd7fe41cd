import { withCommon } from './common-parameters.ts';
import { stageKind } from './stage-kind.ts';

/** Harmonics at and below this level are left out. */
const OFF_DBC = -100;
const ORDERS = [2, 3, 4, 5, 6, 7] as const;

/** 1 % THD_F in all at the defaults: two harmonics of −43.01 dBc each. */
const DEFAULT_DBC: Partial<Record<number, number>> = { 2: -43, 3: -43 };

const levels = ORDERS.map((order) => ({
  id: `h${order}` as const,
  label: `H${order}`,
  about: `Level of harmonic ${order} of a sine at the alignment level, against its fundamental.`,
  place: 'face' as const,
  type: 'continuous' as const,
  unit: 'dBc' as const,
  min: OFF_DBC,
  max: -20,
  default: DEFAULT_DBC[order] ?? OFF_DBC,
  taper: 'linear' as const,
  step: 1,
  digits: 0,
  atMin: 'off',
}));

export const harmonicSet = stageKind({
  id: 'harmonic-set',
  label: 'Harmonic set',
  about: 'Harmonics 2 to 7 at the levels you set for a sine at the alignment level; beyond that peak it flattens.',
  suits: 'For a colour by ear and number, where one harmonic is wanted and another is not.',
  parameters: withCommon(levels),
  circuits: { harmonicSet: { level: 'as-set' } },
  kernel: () => 'harmonicSet',
});
