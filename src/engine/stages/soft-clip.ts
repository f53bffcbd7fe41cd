import type { Parameter } from '../parameters.ts';
import { defaultValues, toNumber } from '../parameters.ts';
import { bias, withCommon } from './common-parameters.ts';
import type { StageKind } from './stage-kind.ts';
import { indexOf, Kernel } from './stage-kind.ts';

/** Knees at and above this are a hard clip: the curve x/(1+|x|^p)^(1/p) is within 0.7 % of it there. */
const HARD_KNEE = 100;

/** Working point at 100 % bias, in knee units. Below 1, so that even the hard clip keeps a slope to normalise to. */
const FULL_BIAS = 0.9;

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
  } satisfies Parameter,
]);

const at = indexOf(parameters);
const CURVES = [Kernel.tanh, Kernel.arctangent, Kernel.cubic] as const;
const defaults = defaultValues(parameters);

export const softClip: StageKind = {
  id: 'soft-clip',
  label: 'Soft clip',
  about: 'A smooth limit to the amplitude, alike in both halves unless biased: odd harmonics, even ones with bias.',
  parameters,
  curve: {
    coefficientCount: 4,
    kernel(values) {
      const curve = values[at.curve];
      if (curve < CURVES.length) return CURVES[curve];
      const knee = values[at.knee];
      if (knee >= HARD_KNEE) return Kernel.hardClip;
      if (Math.abs(knee - 2) < 1e-9) return Kernel.algebraicSquare;
      return knee === 1 ? Kernel.algebraicOne : Kernel.algebraic;
    },
    /** Bias in knee units, p, 1/p, 1/f′(bias). */
    coefficients(values, out) {
      out[0] = (FULL_BIAS * values[at.bias]) / 100;
      out[1] = values[at.knee];
      out[2] = 1 / values[at.knee];
      out[3] = 1 / softClipSlope(softClip.curve.kernel(values), out[0], values[at.knee]);
    },
    difference(kernel, [b, p, , steepness], u) {
      return (softClipCurve(kernel, u + b, p) - softClipCurve(kernel, b, p)) * steepness - u;
    },
    calibrationValues(values) {
      const at0 = Float64Array.from(parameters, (parameter) => toNumber(parameter, defaults[parameter.id]));
      at0[at.curve] = values[at.curve];
      return at0;
    },
  },
};

/** f(x): slope 1 at the origin, limit 1 (arctangent π/2, cubic 2/3). */
export function softClipCurve(kernel: number, x: number, p: number): number {
  switch (kernel) {
    case Kernel.tanh:
      return Math.tanh(x);
    case Kernel.arctangent:
      return Math.atan(x);
    case Kernel.cubic: {
      const c = Math.max(-1, Math.min(1, x));
      return c - c ** 3 / 3;
    }
    case Kernel.hardClip:
      return Math.max(-1, Math.min(1, x));
    default: {
      const a = Math.abs(x);
      // For |x| > 1 the same value is written with |x|^−p, which can't overflow.
      const y = a <= 1 ? a * (1 + a ** p) ** (-1 / p) : (1 + a ** -p) ** (-1 / p);
      return x < 0 ? -y : y;
    }
  }
}

function softClipSlope(kernel: number, x: number, p: number): number {
  switch (kernel) {
    case Kernel.tanh:
      return 1 - Math.tanh(x) ** 2;
    case Kernel.arctangent:
      return 1 / (1 + x * x);
    case Kernel.cubic:
      return 1 - x * x;
    case Kernel.hardClip:
      return 1;
    default:
      return (1 + Math.abs(x) ** p) ** (-1 - 1 / p);
  }
}
