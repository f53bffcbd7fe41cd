import { bias, withCommon } from './common-parameters.ts';
import { stageKind } from './stage-kind.ts';

const counts = [1, 2, 3, 4].map((n) => ({ id: String(n), label: String(n) }));

const parameters = withCommon([
  bias,
  {
    id: 'up',
    label: 'Diodes +',
    about: 'Diodes in series that limit the upper half. Unequal strings make the curve asymmetric.',
    place: 'face',
    type: 'choice',
    choices: counts,
    default: '1',
  },
  {
    id: 'down',
    label: 'Diodes −',
    about: 'Diodes in series that limit the lower half.',
    place: 'face',
    type: 'choice',
    choices: counts,
    default: '1',
  },
  {
    id: 'resistance',
    label: 'Series R',
    about:
      'Resistance that feeds the diodes. More of it makes the knee softer; less of it firmer, with higher harmonics.',
    place: 'circuit',
    type: 'continuous',
    unit: 'kΩ',
    min: 0.1,
    max: 100,
    default: 2.2,
    taper: 'log',
    step: 0.02,
    digits: 1,
  },
  {
    id: 'saturation',
    label: 'Saturation I',
    about: "The diodes' saturation current. More of it makes the knee softer, as germanium does.",
    place: 'circuit',
    type: 'continuous',
    unit: 'nA',
    min: 0.1,
    max: 2000,
    default: 2.52,
    taper: 'log',
    step: 0.02,
    digits: 1,
  },
]);

export const diodePair = stageKind({
  id: 'diode-pair',
  label: 'Diode pair',
  about: 'Antiparallel diodes behind a resistance: a firm knee, odd harmonics; even ones too where the strings differ.',
  suits:
    'For an edge that comes suddenly: hardly anything below the knee, plenty above it, so set its trim in with care.',
  parameters,
  schematic: {
    width: 13,
    height: 8,
    parts: [
      { draw: 'terminal', at: [0.5, 2], text: 'in' },
      { draw: 'resistor', from: [1, 2], to: [4.5, 2], value: 'resistance', beside: 'left' },
      {
        draw: 'wire',
        path: [
          [4.5, 2],
          [11.7, 2],
        ],
      },
      { draw: 'joint', at: [6, 2] },
      { draw: 'diode', from: [6, 2], to: [6, 6.5], value: 'up', beside: 'left' },
      { draw: 'ground', at: [6, 6.5] },
      { draw: 'joint', at: [9, 2] },
      { draw: 'diode', from: [9, 6.5], to: [9, 2], value: 'down' },
      { draw: 'ground', at: [9, 6.5] },
      { draw: 'terminal', at: [12, 2], text: 'out' },
    ],
  },
  circuits: { diodePair: { knee: 'firm' } },
  kernel: () => 'diodePair',
});
