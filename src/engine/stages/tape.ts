import { response, withCommon } from './common-parameters.ts';
import { stageKind } from './stage-kind.ts';

const parameters = withCommon([
  {
    id: 'speed',
    label: 'Speed',
    about:
      'Speed of the tape with its equalisation. Slower tape saturates sooner at the top; NAB works the lowest bass harder too. In inches a second: 7½ is 19 cm/s, 15 is 38, 30 is 76.',
    place: 'face',
    type: 'choice',
    choices: [
      { id: '7-nab', label: '7½ NAB' },
      { id: '7-iec', label: '7½ IEC' },
      { id: '15-nab', label: '15 NAB' },
      { id: '15-iec', label: '15 IEC' },
      { id: '30', label: '30' },
    ],
    default: '15-iec',
  },
  {
    id: 'fluxivity',
    label: 'Fluxivity',
    about:
      'Flux that the operating level puts on the tape at 0 dB of drive, in nWb/m. 320 makes 1 % THD; 3 % third harmonic, the most that counts as clean, is at 580.',
    place: 'face',
    type: 'choice',
    choices: [
      { id: '185', label: '185' },
      { id: '200', label: '200' },
      { id: '250', label: '250' },
      { id: '320', label: '320' },
    ],
    default: '320',
  },
  {
    id: 'underBias',
    label: 'Less bias',
    about:
      'Bias makes the tape follow without a loop. Taking some away brings hysteresis back: soft sounds come out weaker and all of it grainier.',
    place: 'face',
    type: 'continuous',
    unit: '%',
    min: 0,
    max: 50,
    default: 0,
    taper: 'linear',
    step: 2,
    digits: 0,
  },
  response(
    "Adds what the heads do to the frequency response too: a bump in the bass and the gap's loss at the top. Off, only what goes beyond the linear part is added.",
  ),
  {
    id: 'depth',
    label: 'Depth',
    about:
      'Depth of the coating and its distance from the heads. What that loses of short waves is recorded louder, so more of it saturates the top sooner.',
    place: 'circuit',
    type: 'continuous',
    unit: 'µm',
    min: 6,
    max: 25,
    default: 16,
    taper: 'log',
    step: 0.05,
    digits: 1,
  },
  {
    id: 'gap',
    label: 'Gap',
    about: 'Gap of the playback head. The wider it is, the more of the top it loses; heard with the response on.',
    place: 'circuit',
    type: 'continuous',
    unit: 'µm',
    min: 1,
    max: 12,
    default: 3,
    taper: 'log',
    step: 0.05,
    digits: 1,
  },
  {
    id: 'head',
    label: 'Head face',
    about: 'Length of the playback head. Waves as long as it is make the bass bump; heard with the response on.',
    place: 'circuit',
    type: 'continuous',
    unit: 'mm',
    min: 4,
    max: 15,
    default: 8,
    taper: 'log',
    step: 0.05,
    digits: 1,
  },
]);

/** Tape speeds in the order of the choice, m/s, and which of them have the equalisation that rises below 50 Hz. */
const SPEEDS = [0.1905, 0.1905, 0.381, 0.381, 0.762];
const NAB = [true, false, true, false, false];

export const tape = stageKind({
  id: 'tape',
  label: 'Tape',
  about:
    'Magnetic tape between its equalisers: odd harmonics only, which grow with the square of the level, and highs that give way before the rest.',
  suits: 'For drums, bright voices and mixes: rounds peaks and tames what is sharp, the more the slower it runs.',
  parameters,
  schematic: {
    width: 14,
    height: 7.5,
    parts: [
      { draw: 'terminal', at: [0.5, 2], text: 'in' },
      {
        draw: 'wire',
        path: [
          [0.8, 2],
          [1.7, 2],
        ],
      },
      { draw: 'step', at: [3.9, 2], width: 4.4, text: 'record', value: 'speed' },
      {
        draw: 'wire',
        path: [
          [6.1, 2],
          [7.1, 2],
        ],
      },
      { draw: 'step', at: [9.3, 2], width: 4.4, text: 'coating', value: 'depth' },
      {
        draw: 'wire',
        path: [
          [11.5, 2],
          [13.2, 2],
          [13.2, 6],
          [12.1, 6],
        ],
      },
      { draw: 'step', at: [9.9, 6], width: 4.4, text: 'head gap', value: 'gap' },
      {
        draw: 'wire',
        path: [
          [7.7, 6],
          [7.1, 6],
        ],
      },
      { draw: 'step', at: [4.9, 6], width: 4.4, text: 'playback', value: 'speed' },
      {
        draw: 'wire',
        path: [
          [2.7, 6],
          [0.8, 6],
        ],
      },
      { draw: 'terminal', at: [0.5, 6], text: 'out' },
    ],
  },
  circuits: { tape: { onTop: ['fluxivity', 'underBias'] } },
  kernel: () => 'tape',
  hasResponse: (values, at) => values[at.response] > 0,
  settleSeconds(values, at) {
    // What bends nothing is exact at once. The equaliser that rises below 50 Hz holds a field for 1/(2π·4 Hz), which bears
    // on a hundredth of the sound: −80 dB of it. What is left in an under-biased coating creeps off with a double pole at
    // 25/s, to as much. The bump rings with Q/π·f, to −120 dB.
    const speed = Math.round(values[at.speed]);
    const low = NAB[speed] ? 0.37 : 0;
    const left = values[at.underBias] > 0 ? 0.48 : 0;
    const bump = values[at.response] > 0 ? (13.8 * 1.2 * 1e-3 * values[at.head]) / (Math.PI * SPEEDS[speed]) : 0;
    return 0.005 + low + left + bump;
  },
});
