import { response, withCommon } from './common-parameters.ts';
import { stageKind } from './stage-kind.ts';

const parameters = withCommon([
  {
    id: 'cathode',
    label: 'Cathode',
    about:
      'Sets the working point at rest: less of it runs the valve hotter, towards grid current; more towards cutoff.',
    place: 'face',
    type: 'continuous',
    unit: 'kΩ',
    min: 0.68,
    max: 4.7,
    default: 1.5,
    taper: 'log',
    step: 0.05,
    digits: 2,
  },
  response("Adds the circuit's own frequency response too. Off, only what goes beyond its linear part is added."),
  {
    id: 'supply',
    label: 'Supply',
    about: 'Voltage that feeds the plate resistor. Less of it leaves less room before the valve cuts off or saturates.',
    place: 'circuit',
    type: 'continuous',
    unit: 'V',
    min: 150,
    max: 400,
    default: 250,
    taper: 'linear',
    step: 10,
    digits: 0,
  },
  {
    id: 'plate',
    label: 'Plate R',
    about: 'Load of the valve. More of it flattens the load line: more gain, less current.',
    place: 'circuit',
    type: 'continuous',
    unit: 'kΩ',
    min: 47,
    max: 220,
    default: 100,
    taper: 'log',
    step: 0.05,
    digits: 0,
  },
  {
    id: 'bypass',
    label: 'Bypass C',
    about: 'Capacitor across the cathode resistor. The larger it is, the slower the bias follows the level.',
    place: 'circuit',
    type: 'continuous',
    unit: 'µF',
    min: 1,
    max: 100,
    default: 22,
    taper: 'log',
    step: 0.05,
    digits: 1,
  },
  {
    id: 'source',
    label: 'Source R',
    about: "Resistance that drives the grid. With it the grid's current clips, and the Miller capacitance dulls.",
    place: 'circuit',
    type: 'continuous',
    unit: 'kΩ',
    min: 4.7,
    max: 220,
    default: 47,
    taper: 'log',
    step: 0.05,
    digits: 1,
  },
  {
    id: 'capacitor',
    label: 'Grid C',
    about: "Capacitor before the grid. The grid's current charges it, so that the bias moves after loud moments.",
    place: 'circuit',
    type: 'continuous',
    unit: 'nF',
    min: 4.7,
    max: 100,
    default: 22,
    taper: 'log',
    step: 0.05,
    digits: 1,
  },
]);

export const triode = stageKind({
  id: 'triode',
  label: 'Triode',
  about: 'A valve in common cathode: even harmonics first, and a bias that moves with the level.',
  suits: 'For single instruments and voices: fuller when they are loud, and nearly as they were when they are soft.',
  parameters,
  schematic: {
    width: 14,
    height: 14,
    parts: [
      { draw: 'terminal', at: [0.5, 6], text: 'in' },
      { draw: 'resistor', from: [1, 6], to: [3.5, 6], value: 'source' },
      { draw: 'capacitor', from: [3.5, 6], to: [5.5, 6], value: 'capacitor', beside: 'left' },
      {
        draw: 'wire',
        path: [
          [5.5, 6],
          [7, 6],
        ],
      },
      { draw: 'joint', at: [6, 6] },
      {
        draw: 'wire',
        path: [
          [6, 6],
          [6, 7],
        ],
      },
      { draw: 'resistor', from: [6, 7], to: [6, 10], text: '1 MΩ', beside: 'left' },
      { draw: 'ground', at: [6, 10] },
      { draw: 'triode', at: [9, 6] },
      { draw: 'resistor', from: [9, 1], to: [9, 4], value: 'plate' },
      { draw: 'terminal', at: [9, 0.7], value: 'supply' },
      { draw: 'joint', at: [9, 4] },
      {
        draw: 'wire',
        path: [
          [9, 4],
          [12.5, 4],
        ],
      },
      { draw: 'terminal', at: [12.8, 4], text: 'out' },
      {
        draw: 'wire',
        path: [
          [9, 8],
          [9, 9],
        ],
      },
      { draw: 'joint', at: [9, 9] },
      { draw: 'resistor', from: [9, 9], to: [9, 12.5], value: 'cathode', beside: 'left' },
      {
        draw: 'wire',
        path: [
          [9, 8],
          [11, 8],
        ],
      },
      { draw: 'capacitor', from: [11, 9], to: [11, 12.5], value: 'bypass' },
      { draw: 'ground', at: [9, 12.5] },
      { draw: 'ground', at: [11, 12.5] },
    ],
  },
  circuits: { triode: {} },
  kernel: () => 'triode',
  hasResponse: (values, at) => values[at.response] > 0,
  settleSeconds(values, at) {
    // Time constants in seconds of the cathode, with its resistor and what it sees of the valve side by side (its 80 kΩ
    // and the plate's resistor over a gain of about 90), and of the grid; −120 dB is 13.8 of them.
    const valve = (80 + values[at.plate]) / 90;
    const cathode = (1e-3 * values[at.bypass] * valve * values[at.cathode]) / (valve + values[at.cathode]);
    const grid = 1e-6 * values[at.capacitor] * (1000 + values[at.source]);
    return 13.8 * (cathode + grid);
  },
});
