import type { Parameter } from '../parameters.ts';

/** Trims, drive and the rest that every stage has, declared once. */

const trimIn = {
  id: 'trimIn',
  label: 'Trim in',
  about: 'Gain before the stage. It is not compensated: it is the gain staging.',
  place: 'face',
  type: 'continuous',
  unit: 'dB',
  min: -24,
  max: 24,
  default: 0,
  taper: 'linear',
  step: 0.5,
  digits: 1,
} as const satisfies Parameter;

const drive = {
  id: 'drive',
  label: 'Drive',
  about:
    'How hard the curve is worked. 0 dB gives 1 % THD at the alignment level for the shape as set, before bias and emphasis; small signals keep their level.',
  place: 'face',
  type: 'continuous',
  unit: 'dB',
  min: -24,
  max: 24,
  default: 0,
  taper: 'linear',
  step: 0.5,
  digits: 1,
} as const satisfies Parameter;

export const bias = {
  id: 'bias',
  label: 'Bias',
  about:
    'Moves the working point along the curve, which adds even harmonics and changes the amount. 0 keeps both halves alike.',
  place: 'face',
  type: 'continuous',
  unit: '%',
  min: -100,
  max: 100,
  default: 0,
  taper: 'linear',
  step: 5,
  digits: 0,
} as const satisfies Parameter;

/** Whether a circuit's own frequency response is heard, too; for kinds that have one. */
export function response(about: string) {
  return {
    id: 'response',
    label: 'Response',
    about,
    place: 'face',
    type: 'choice',
    choices: [
      { id: 'off', label: 'Off' },
      { id: 'on', label: 'On' },
    ],
    default: 'off',
  } as const satisfies Parameter;
}

const trimOut = {
  id: 'trimOut',
  label: 'Trim out',
  about: 'Gain after the stage. It is not compensated: it sets what the next stage is driven with.',
  place: 'face',
  type: 'continuous',
  unit: 'dB',
  min: -24,
  max: 24,
  default: 0,
  taper: 'linear',
  step: 0.5,
  digits: 1,
} as const satisfies Parameter;

/** What of the spectrum it colours; set by ear. */
const band = [
  {
    id: 'band',
    label: 'Band',
    about: 'Colours the whole spectrum, or only what lies between two edges. The signal itself is never split.',
    place: 'face',
    type: 'choice',
    choices: [
      { id: 'whole', label: 'Whole' },
      { id: 'between', label: 'Part' },
    ],
    default: 'whole',
  },
  {
    id: 'bandFrom',
    label: 'Band from',
    about: 'Below this the stage colours less and less, by 12 dB an octave.',
    place: 'face',
    when: { id: 'band', is: 'between' },
    type: 'continuous',
    unit: 'Hz',
    min: 20,
    max: 10000,
    default: 150,
    taper: 'log',
    step: 0.02,
    digits: 0,
  },
  {
    id: 'bandTo',
    label: 'Band to',
    about: 'Above this the stage colours less and less, by 12 dB an octave.',
    place: 'face',
    when: { id: 'band', is: 'between' },
    type: 'continuous',
    unit: 'Hz',
    min: 60,
    max: 20000,
    default: 5000,
    taper: 'log',
    step: 0.02,
    digits: 0,
  },
] as const satisfies readonly Parameter[];

const circuit = [
  {
    id: 'blend',
    label: 'Blend',
    about: 'Share of what the stage adds. 0 % leaves the plain, trimmed signal.',
    place: 'circuit',
    type: 'continuous',
    unit: '%',
    min: 0,
    max: 100,
    default: 100,
    taper: 'linear',
    step: 5,
    digits: 0,
  },
  {
    id: 'tilt',
    label: 'Emphasis',
    about: 'Tilts the spectrum before the curve and back after it: positive works the highs harder, negative the lows.',
    place: 'circuit',
    type: 'continuous',
    unit: 'dB',
    min: -12,
    max: 12,
    default: 0,
    taper: 'linear',
    step: 0.5,
    digits: 1,
  },
  {
    id: 'tiltFrequency',
    label: 'Emphasis at',
    about: 'Frequency at which the emphasis changes nothing.',
    place: 'circuit',
    type: 'continuous',
    unit: 'Hz',
    min: 100,
    max: 8000,
    default: 800,
    taper: 'log',
    step: 0.02,
    digits: 0,
  },
  {
    id: 'stereo',
    label: 'Stereo',
    about: 'Left and right each by itself, or the middle (L + R)/2 and the side (L − R)/2: both, or only one of them.',
    place: 'circuit',
    type: 'choice',
    choices: [
      { id: 'left-right', label: 'Left, right' },
      { id: 'middle-side', label: 'Middle, side' },
      { id: 'middle', label: 'Middle only' },
      { id: 'side', label: 'Side only' },
    ],
    default: 'left-right',
  },
  {
    id: 'coupling',
    label: 'Coupling',
    about: 'AC takes away the DC that asymmetry makes; real bass passes untouched.',
    place: 'circuit',
    type: 'choice',
    choices: [
      { id: 'ac', label: 'AC' },
      { id: 'dc', label: 'DC' },
    ],
    default: 'ac',
  },
  {
    id: 'polarity',
    label: 'Polarity',
    about: 'Turns the signal over, so that the next asymmetric stage bends the other half.',
    place: 'circuit',
    type: 'choice',
    choices: [
      { id: 'normal', label: 'Normal' },
      { id: 'inverted', label: 'Inverted' },
    ],
    default: 'normal',
  },
] as const satisfies readonly Parameter[];

type Common = typeof trimIn | typeof drive | typeof trimOut | (typeof band | typeof circuit)[number];

/** Ids of the parameters that every kind has. */
export type CommonParameterId = Common['id'];

/** A kind's parameters in the order of the screen: trim in, drive, its own, trim out, the band, then the circuit's. */
export function withCommon<const P extends readonly Parameter[]>(own: P): readonly (P[number] | Common)[] {
  return [
    trimIn,
    drive,
    ...own.filter(({ place }) => place === 'face'),
    trimOut,
    ...band,
    ...own.filter(({ place }) => place === 'circuit'),
    ...circuit,
  ];
}
