import type { Parameter } from '../parameters.ts';
import { defaultValues, toNumber } from '../parameters.ts';
import { withCommon } from './common-parameters.ts';
import type { StageKind } from './stage-kind.ts';
import { indexOf, Kernel } from './stage-kind.ts';

/** Harmonics at and below this level are left out. */
const OFF_DBC = -100;
const ORDERS = [2, 3, 4, 5, 6, 7] as const;

/** 1 % THD_F in all at the defaults: two harmonics of −43.01 dBc each. */
const DEFAULT_DBC: Partial<Record<number, number>> = { 2: -43, 3: -43 };

const levels: Parameter[] = ORDERS.map((order) => ({
  id: `h${order}`,
  label: `H${order}`,
  about: `Level of harmonic ${order} of a sine at the alignment level, against its fundamental.`,
  place: 'face',
  type: 'continuous',
  unit: 'dBc',
  min: OFF_DBC,
  max: -20,
  default: DEFAULT_DBC[order] ?? OFF_DBC,
  taper: 'linear',
  step: 1,
  digits: 0,
  atMin: 'off',
}));

const parameters = withCommon(levels);
const at = indexOf(parameters);
const defaults = defaultValues(parameters);

/**
 * Signs that make every odd harmonic bend the curve the same way at the origin (compressive) and the even ones
 * likewise, so that harmonics add up instead of undoing each other.
 */
const SIGNS: Record<number, number> = { 2: 1, 3: -1, 4: -1, 5: 1, 6: 1, 7: -1 };

/** Chebyshev polynomials T₂…T₇ by ascending power (DLMF 18.5.1 and the recurrence). */
const CHEBYSHEV: Record<number, readonly number[]> = {
  2: [-1, 0, 2],
  3: [0, -3, 0, 4],
  4: [1, 0, -8, 0, 8],
  5: [0, 5, 0, -20, 0, 16],
  6: [-1, 0, 18, 0, -48, 0, 32],
  7: [0, -7, 0, 56, 0, -112, 0, 64],
};

export const harmonicSet: StageKind = {
  id: 'harmonic-set',
  label: 'Harmonic set',
  about: 'Harmonics 2 to 7 at the levels you set for a sine at the alignment level; beyond that peak it flattens.',
  parameters,
  curve: {
    coefficientCount: 14,
    fixedScale: true,
    kernel: () => Kernel.harmonicSet,
    /**
     * [0…5] polynomial of the difference, powers 2…7; then per side (upper 6…9, lower 10…13) the continuation beyond
     * |u| = 1: value at the edge, slope s, k and λ of f′(t) = (s + k·t)/(1 + λ·t)³, t = |u| − 1, outward positive.
     */
    coefficients(values, out) {
      // The odd polynomials lose their slope at the origin, which moves the fundamental; dividing by it beforehand
      // makes the levels come out as set: fundamental F = 1/(1 + Σ n·r_n over odd n).
      let weight = 1;
      for (let n = 3; n <= 7; n += 2) weight += n * ratioOf(values, n);
      const fundamental = 1 / weight;
      for (let power = 2; power <= 7; power++) {
        let sum = 0;
        for (let n = power; n <= 7; n++) {
          sum += SIGNS[n] * ratioOf(values, n) * fundamental * (CHEBYSHEV[n][power] ?? 0);
        }
        out[power - 2] = sum;
      }
      continuation(out, 1, 6);
      continuation(out, -1, 10);
    },
    difference(_kernel, c, u) {
      const side = u < 0 ? -1 : 1;
      const a = Math.abs(u);
      if (a <= 1) return polynomial(c, u);
      const at0 = side > 0 ? 6 : 10;
      const edge = c[at0];
      const s = c[at0 + 1];
      const k = c[at0 + 2];
      const lambda = c[at0 + 3];
      const r = 1 / (1 + lambda * (a - 1));
      const grown = ((s - k / lambda) * 0.5 * (1 - r * r) + (k / lambda) * (1 - r)) / lambda;
      return side * (edge + grown) - u;
    },
    calibrationValues() {
      return Float64Array.from(parameters, (parameter) => toNumber(parameter, defaults[parameter.id]));
    },
  },
};

/** Amplitude ratio of harmonic n as set; 0 where it is off. */
function ratioOf(values: Float64Array, n: number): number {
  const dbc = values[at[`h${n}`]];
  return dbc <= OFF_DBC ? 0 : 10 ** (dbc / 20);
}

/** The difference c₀u² + c₁u³ + … + c₅u⁷. */
function polynomial(c: Float64Array, u: number): number {
  return u * u * (c[0] + u * (c[1] + u * (c[2] + u * (c[3] + u * (c[4] + u * c[5])))));
}

/**
 * Coefficients of the continuation beyond the alignment peak on one side: monotone (f′ keeps the edge's sign), bounded
 * (f′ falls as t⁻²…⁻³) and with a continuous second derivative. In outward coordinates (both axes turned over on the
 * lower side) f′(0) = s and f″(0) = k − 3λs, so k follows from the curvature, and λ is taken large enough that k has
 * the sign of s. The magnitude in λ makes the curve flat from both sides as s passes through 0 when a level is moved;
 * with the sign it would jump there.
 */
function continuation(c: Float64Array, side: number, at0: number): void {
  let value = 1;
  let slope = 1;
  let curvature = 0;
  for (let power = 2; power <= 7; power++) {
    // Even powers change sign when both axes are turned over.
    const a = (power % 2 === 0 ? side : 1) * c[power - 2];
    value += a;
    slope += power * a;
    curvature += power * (power - 1) * a;
  }
  // A slope of almost nothing can't carry any curvature outwards without turning over: such an edge stays flat.
  const steep = Math.abs(slope) < 1e-6 ? 1e-6 : slope;
  const lambda = Math.max(1, Math.abs(curvature / (3 * steep)) * 1.0001);
  c[at0] = value;
  c[at0 + 1] = steep;
  c[at0 + 2] = curvature + 3 * lambda * steep;
  c[at0 + 3] = lambda;
}
