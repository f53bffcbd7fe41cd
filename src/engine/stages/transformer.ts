import { response, withCommon } from './common-parameters.ts';
import { stageKind } from './stage-kind.ts';

const parameters = withCommon([
  {
    id: 'core',
    label: 'Core',
    about: 'Sheet of the core. Nickel iron bends softly from small levels on; silicon steel is wider and coarser.',
    place: 'face',
    type: 'choice',
    choices: [
      { id: 'nickel', label: 'Nickel' },
      { id: 'steel', label: 'Steel' },
    ],
    default: 'nickel',
  },
  {
    id: 'source',
    label: 'Source R',
    about:
      'Resistance that drives the winding. More of it lets the magnetising current bend the sound gradually; less holds on longer and gives way at once.',
    place: 'face',
    type: 'continuous',
    unit: 'Ω',
    min: 50,
    max: 2000,
    default: 200,
    taper: 'log',
    step: 0.05,
    digits: 0,
  },
  response(
    "Adds the transformer's own frequency response too: the loss of the lowest bass, and the leakage resonance at the top. Off, only what goes beyond its linear part is added.",
  ),
  {
    id: 'inductance',
    label: 'Primary L',
    about: 'Inductance of the primary for small signals. With the resistances it sets where the bass ends.',
    place: 'circuit',
    type: 'continuous',
    unit: 'H',
    min: 1,
    max: 15,
    default: 5,
    taper: 'log',
    step: 0.05,
    digits: 1,
  },
  {
    id: 'winding',
    label: 'Winding R',
    about: 'Resistance of the primary winding, in series with the source.',
    place: 'circuit',
    type: 'continuous',
    unit: 'Ω',
    min: 20,
    max: 300,
    default: 50,
    taper: 'log',
    step: 0.05,
    digits: 0,
  },
  {
    id: 'leakage',
    label: 'Leakage L',
    about:
      'Inductance of the flux that misses the secondary. It resonates with the winding capacitance; heard with the response on.',
    place: 'circuit',
    type: 'continuous',
    unit: 'mH',
    min: 0.5,
    max: 20,
    default: 4,
    taper: 'log',
    step: 0.05,
    digits: 1,
  },
  {
    id: 'capacitance',
    label: 'Winding C',
    about: 'Capacitance of the windings. More of it lowers the leakage resonance; heard with the response on.',
    place: 'circuit',
    type: 'continuous',
    unit: 'nF',
    min: 0.2,
    max: 10,
    default: 2,
    taper: 'log',
    step: 0.05,
    digits: 1,
  },
  {
    id: 'load',
    label: 'Load R',
    about:
      'Load of the secondary, seen from the primary. Less of it damps the leakage resonance; heard with the response on.',
    place: 'circuit',
    type: 'continuous',
    unit: 'kΩ',
    min: 1,
    max: 100,
    default: 10,
    taper: 'log',
    step: 0.05,
    digits: 1,
  },
]);

export const transformer = stageKind({
  id: 'transformer',
  label: 'Transformer',
  about:
    'Iron that saturates with hysteresis: odd harmonics of low notes, a quarter of them an octave up. 0 dB of drive makes 1 % THD of 50 Hz.',
  suits: 'For bass, drums and whole mixes: weight under the low notes, while what lies above them stays as it is.',
  parameters,
  schematic: {
    width: 14,
    height: 10.5,
    parts: [
      { draw: 'terminal', at: [0.5, 2], text: 'in' },
      { draw: 'resistor', from: [1, 2], to: [3, 2], value: 'source' },
      { draw: 'resistor', from: [3, 2], to: [5, 2], value: 'winding', beside: 'left' },
      { draw: 'inductor', from: [5, 2], to: [5, 7], value: 'inductance', beside: 'left' },
      { draw: 'core', at: [5.8, 3], length: 3 },
      { draw: 'inductor', from: [6.6, 7], to: [6.6, 2] },
      { draw: 'inductor', from: [6.6, 2], to: [9, 2], value: 'leakage', beside: 'left' },
      { draw: 'joint', at: [9, 2] },
      { draw: 'capacitor', from: [9, 2], to: [9, 5], value: 'capacitance' },
      {
        draw: 'wire',
        path: [
          [9, 2],
          [12.7, 2],
        ],
      },
      { draw: 'joint', at: [12.5, 2] },
      {
        draw: 'wire',
        path: [
          [12.5, 2],
          [12.5, 5],
        ],
      },
      { draw: 'resistor', from: [12.5, 5], to: [12.5, 9], value: 'load', beside: 'left' },
      { draw: 'terminal', at: [12.95, 2], text: 'out' },
      { draw: 'ground', at: [5, 7] },
      { draw: 'ground', at: [6.6, 7] },
      { draw: 'ground', at: [9, 5] },
      { draw: 'ground', at: [12.5, 9] },
    ],
  },
  // A core that made 1 % of 997 Hz would have been saturated by any bass; 50 Hz is where its distortion is stated.
  circuits: { transformer: { toneHz: 50 } },
  kernel: () => 'transformer',
  hasResponse: (values, at) => values[at.response] > 0,
  settleSeconds(values, at) {
    // The winding's time constant for small signals, −120 dB being 13.8 of them; and what is left in the core, which
    // creeps off with a double pole at 25/s and bears on a hundredth of the sound at most, to −80 dB.
    return (13.8 * values[at.inductance]) / (values[at.source] + values[at.winding]) + 0.48;
  },
});
