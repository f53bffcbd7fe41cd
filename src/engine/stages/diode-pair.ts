import { defaultValues, toNumber } from '../parameters.ts';
import { bias, withCommon } from './common-parameters.ts';
import type { StageKind } from './stage-kind.ts';
import { indexOf, Kernel } from './stage-kind.ts';

/**
 * Two strings of diodes, antiparallel, fed through a series resistance: x = v + R·I(v) with Shockley's
 * I(v) = Is·(e^(v/n₁Vt) − e^(−v/n₂Vt)), n₁ and n₂ being the ideality factor times the number of diodes in each string.
 * Small-signal silicon values (Is 2.52 nA, ideality 1.752; from memory, see reference values) and Vt = 25.85 mV.
 */
const IDEALITY = 1.752;
const THERMAL_VOLTAGE = 0.02585;
const DIODE_VOLT = IDEALITY * THERMAL_VOLTAGE;

/** Working point at 100 % bias, as a share of the forward string's voltage at the knee (R·I = knee voltage). */
const FULL_BIAS = 0.9;

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
    about: 'Resistance that feeds the diodes. More of it makes the knee sharper.',
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
    about: "The diodes' saturation current. More of it bends earlier and softer, as germanium does.",
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

const at = indexOf(parameters);
const defaults = defaultValues(parameters);

export const diodePair: StageKind = {
  id: 'diode-pair',
  label: 'Diode pair',
  about: 'Antiparallel diodes behind a resistance: a firm knee, odd harmonics; even ones too where the strings differ.',
  parameters,
  curve: {
    coefficientCount: 6,
    kernel: () => Kernel.diodePair,
    /**
     * All in the upper string's voltage scale V₁ = n₁Vt: bias (source volts / V₁), R·Is/V₁, V₁/V₂, the voltage the
     * pair shows at the bias, and the slope dv/dx there as 1/slope, then 1/r₀ spare for the kernel's first guess.
     */
    coefficients(values, out) {
      const up = 1 + values[at.up];
      const down = 1 + values[at.down];
      const v1 = DIODE_VOLT * up;
      const drop = (values[at.resistance] * 1e3 * values[at.saturation] * 1e-9) / v1;
      const ratio = up / down;
      // The knee: the source voltage at which as much falls on the resistance as one V₁.
      const knee = Math.log(1 + 1 / drop);
      const b = (FULL_BIAS * values[at.bias] * (values[at.bias] < 0 ? knee / ratio : knee)) / 100;
      const v = diodeVoltage(b, drop, ratio);
      out[0] = b;
      out[1] = drop;
      out[2] = ratio;
      out[3] = v;
      out[4] = 1 + drop * (Math.exp(v) + ratio * Math.exp(-v * ratio));
      out[5] = knee;
    },
    difference(_kernel, [b, drop, ratio, v0, steepness], u) {
      // u is the source voltage in units of V₁ around the bias.
      return (diodeVoltage(b + u, drop, ratio) - v0) * steepness - u;
    },
    calibrationValues() {
      return Float64Array.from(parameters, (parameter) => toNumber(parameter, defaults[parameter.id]));
    },
  },
};

/**
 * Solves x = v + drop·(e^v − e^(−v·ratio)) for v by Newton's method to double precision.
 * The right side is monotone, so a start beyond the root on the steep side converges.
 */
export function diodeVoltage(x: number, drop: number, ratio: number): number {
  let v = x >= 0 ? Math.min(x, Math.log(1 + x / drop)) : Math.max(x, -Math.log(1 - x / drop) / ratio);
  for (let i = 0; i < 60; i++) {
    const up = Math.exp(v);
    const down = Math.exp(-v * ratio);
    const step = (v + drop * (up - down) - x) / (1 + drop * (up + ratio * down));
    v -= step;
    if (Math.abs(step) < 1e-15 * (1 + Math.abs(v))) break;
  }
  return v;
}
