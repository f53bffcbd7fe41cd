import { bias, withCommon } from './common-parameters.ts';
import { stageKind } from './stage-kind.ts';

/** Knees at and above this are a hard clip: the curve x/(1+|x|^p)^(1/p) is within 0.7 % of it there. */
const HARD_KNEE = 100;

const parameters = withCommon([
  bias,
  {
    id: 'curve',
    label: 'Curve',
    about: 'The function that bends the signal.',
    place: 'face',
    type: 'choice',
    choices: [
      { id: 'tanh', label: 'Tanh' },
      { id: 'arctangent', label: 'Arctangent' },
      { id: 'cubic', label: 'Cubic' },
      { id: 'algebraic', label: 'Algebraic' },
    ],
    default: 'tanh',
  },
  {
    id: 'knee',
    label: 'Knee',
    about: 'The p of x/(1+|x|^p)^(1/p): 1 bends early and gently, the top end is a hard clip.',
    place: 'face',
    when: { id: 'curve', is: 'algebraic' },
    type: 'continuous',
    unit: '',
    min: 1,
    max: HARD_KNEE,
    default: 2,
    taper: 'log',
    step: 0.02,
    digits: 1,
    atMax: 'hard',
  },
]);

/** In the order of the choices. */
const CURVES = ['tanh', 'arctangent', 'cubic'] as const;

export const softClip = stageKind({
  id: 'soft-clip',
  label: 'Soft clip',
  about: 'A smooth limit to the amplitude, alike in both halves unless biased: odd harmonics, even ones with bias.',
  suits: 'Takes the tips off peaks and thickens what is steady; the later the knee, the longer it does nothing.',
  parameters,
  circuits: {
    tanh: {},
    arctangent: {},
    cubic: {},
    algebraicSquare: {},
    algebraicOne: {},
    algebraic: {},
    hardClip: {},
  },
  kernel(values, at) {
    const curve = values[at.curve];
    if (curve < CURVES.length) return CURVES[curve];
    const knee = values[at.knee];
    if (knee >= HARD_KNEE) return 'hardClip';
    if (Math.abs(knee - 2) < 1e-9) return 'algebraicSquare';
    return knee === 1 ? 'algebraicOne' : 'algebraic';
  },
});
