/**
 * The static curves once more, written down apart from the kernels and with the host's own functions: what F(u) − u is,
 * F being f at its working point with the slope there taken out. Only tests use it.
 */
import type { KernelName } from '../../src/engine/stages/stage-kind.ts';

type Inputs = Readonly<Record<string, number>>;

const FULL_BIAS = 0.9;

const curves: Partial<Record<KernelName, (inputs: Inputs) => (u: number) => number>> = {
  tanh: softClip(Math.tanh, (x) => 1 - Math.tanh(x) ** 2),
  arctangent: softClip(Math.atan, (x) => 1 / (1 + x * x)),
  cubic: softClip(
    (x) => limited(x) - limited(x) ** 3 / 3,
    (x) => 1 - x * x,
  ),
  hardClip: softClip(limited, () => 1),
  algebraic: softClip(knee, kneeSlope),
  algebraicOne: softClip(knee, kneeSlope),
  algebraicSquare: softClip(knee, kneeSlope),
  diodePair({ bias, up, down, resistance, saturation }) {
    const { drop, ratio } = diodeScale(up + 1, down + 1, resistance, saturation);
    const atKnee = Math.log(1 + 1 / drop);
    const b = (FULL_BIAS * bias * (bias < 0 ? atKnee / ratio : atKnee)) / 100;
    const v = diodeVoltage(b, drop, ratio);
    const steep = 1 + drop * (Math.exp(v) + ratio * Math.exp(-v * ratio));
    return (u) => (diodeVoltage(b + u, drop, ratio) - v) * steep - u;
  },
  harmonicSet(levels) {
    const c = harmonicSum(levels);
    return (u) => {
      const side = u < 0 ? -1 : 1;
      const t = Math.abs(u) - 1;
      if (t <= 0) return valueAt(c, u) - u;
      // Value, slope and curvature at the edge with both axes turned outwards.
      const slope = Math.abs(slopeAt(c, side)) < 1e-6 ? 1e-6 : slopeAt(c, side);
      const bend = side * bendAt(c, side);
      const lambda = Math.max(1, Math.abs(bend / (3 * slope)) * 1.0001);
      const k = bend + 3 * lambda * slope;
      // The integral of (s + k·t)/(1 + λ·t)³, in w = 1 + λ·t.
      const w = 1 + lambda * t;
      const integral = ((slope - k / lambda) * (1 - w ** -2)) / 2 / lambda + (k / lambda ** 2) * (1 - 1 / w);
      return side * (side * valueAt(c, side) + integral) - u;
    };
  },
};

/** F(u) − u of a kernel with these inputs by name. @throws Error for a kernel that has no oracle */
export function curveOracle(kernel: KernelName, inputs: Inputs): (u: number) => number {
  const curve = curves[kernel];
  if (!curve) throw new Error(`${kernel} has no oracle: write its formula in tests/support/curve-oracle.ts.`);
  return curve(inputs);
}

function softClip(f: (x: number, p: number) => number, slope: (x: number, p: number) => number) {
  return ({ bias, knee: p }: Inputs) => {
    const b = (FULL_BIAS * bias) / 100;
    return (u: number) => (f(u + b, p) - f(b, p)) / slope(b, p) - u;
  };
}

function limited(x: number): number {
  return Math.max(-1, Math.min(1, x));
}

function knee(x: number, p: number): number {
  const a = Math.abs(x);
  // For |x| > 1 the same value is written with |x|^−p, which can't overflow.
  const y = a <= 1 ? a * (1 + a ** p) ** (-1 / p) : (1 + a ** -p) ** (-1 / p);
  return x < 0 ? -y : y;
}

function kneeSlope(x: number, p: number): number {
  return (1 + Math.abs(x) ** p) ** (-1 - 1 / p);
}

/** R·Is in units of the upper string's voltage, and the strings' ratio. kΩ, nA. */
export function diodeScale(up: number, down: number, resistance: number, saturation: number) {
  return { drop: (resistance * saturation * 1e-6) / (1.752 * 0.02585 * up), ratio: up / down };
}

/** Solves x = v + drop·(e^v − e^(−v·ratio)) for v, monotone in v, by halving. */
export function diodeVoltage(x: number, drop: number, ratio: number): number {
  let low = Math.min(0, x);
  let high = Math.max(0, x);
  for (let i = 0; i < 200; i++) {
    const v = (low + high) / 2;
    if (v + drop * (Math.exp(v) - Math.exp(-v * ratio)) < x) low = v;
    else high = v;
  }
  return (low + high) / 2;
}

const SIGNS: Readonly<Record<number, number>> = { 2: 1, 3: -1, 4: -1, 5: 1, 6: 1, 7: -1 };

/** Powers 0 to 7 of the sum of Chebyshev polynomials (DLMF 18.9.1: Tₙ₊₁ = 2x·Tₙ − Tₙ₋₁), slope 1 and value 0 at 0. */
function harmonicSum(levels: Inputs): number[] {
  const ratio = (n: number) => (levels[`h${n}`] <= -100 ? 0 : 10 ** (levels[`h${n}`] / 20));
  const fundamental = 1 / (1 + 3 * ratio(3) + 5 * ratio(5) + 7 * ratio(7));
  const sum = new Array(8).fill(0);
  let before = [1, ...new Array(7).fill(0)];
  let now = [0, 1, ...new Array(6).fill(0)];
  for (let n = 2; n <= 7; n++) {
    const next = now.map((_, power) => (power > 0 ? 2 * now[power - 1] : 0) - before[power]);
    before = now;
    now = next;
    for (let power = 2; power <= 7; power++) sum[power] += SIGNS[n] * ratio(n) * fundamental * now[power];
  }
  sum[1] = 1;
  return sum;
}

function valueAt(c: readonly number[], x: number): number {
  return c.reduce((sum, a, power) => sum + a * x ** power, 0);
}

function slopeAt(c: readonly number[], x: number): number {
  return c.reduce((sum, a, power) => (power > 0 ? sum + power * a * x ** (power - 1) : sum), 0);
}

function bendAt(c: readonly number[], x: number): number {
  return c.reduce((sum, a, power) => (power > 1 ? sum + power * (power - 1) * a * x ** (power - 2) : sum), 0);
}
