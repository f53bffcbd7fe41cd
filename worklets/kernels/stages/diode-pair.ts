/**
 * Two strings of diodes, antiparallel, fed through a series resistance: x = v + R·I(v) with Shockley's
 * I(v) = Is·(e^(v/n₁Vt) − e^(−v/n₂Vt)), n₁ and n₂ being the ideality factor times the number of diodes in each string.
 * Small-signal silicon values (a 1N914's: Is 2.52 nA, ideality 1.752; docs/reference-values.md, section 6) and Vt = 25.85 mV. The output is v, so what the
 * circuit adds is −R·I. All is in the upper string's voltage scale V₁ = n₁Vt.
 */
import { bends, knot } from '../corner-segments';
import { exp, log2 } from '../elementary';
import { octaves } from '../table';
import { add, atMost, choose, coefficient, div, first, input, lesser, mad, mul, neg, num, put, signed, size, sub } from '../lanes';

/** What the kernel is told: these parameters' values, in this order. */
const enum Input {
  bias,
  up,
  down,
  resistance,
  saturation,
}

const IDEALITY: f64 = 1.752;
const THERMAL_VOLTAGE: f64 = 0.02585;

/** Working point at 100 % bias, as a share of the forward string's voltage at the knee (R·I = knee voltage). */
const FULL_BIAS: f64 = 0.9;

/** Coefficients: R·Is/V₁ and V₁/V₂. */
const DROP: usize = 2;
const RATIO: usize = 3;

export function prepareDiodePair(v: usize, c: usize): void {
  const up = 1 + input(v, Input.up);
  const v1 = IDEALITY * THERMAL_VOLTAGE * up;
  const drop = (input(v, Input.resistance) * 1e3 * input(v, Input.saturation) * 1e-9) / v1;
  const ratio = up / (1 + input(v, Input.down));
  // The knee: the source voltage at which as much falls on the resistance as one V₁.
  const knee = Math.log(1 + 1 / drop);
  const bias = input(v, Input.bias);
  const b = (FULL_BIAS * bias * (bias < 0 ? knee / ratio : knee)) / 100;
  put(c, DROP, drop);
  put(c, RATIO, ratio);
  const shown = b + diodePair<f64>(b, c);
  put(c, 0, b);
  put(c, 1, 1 + drop * (Math.exp(shown) + ratio * Math.exp(-shown * ratio)));
}

/**
 * e^(−v·ratio), `up` being e^v. The ratio is that of two whole numbers of diodes; where it is whole itself, as for like
 * strings, powers take the place of a second exponential.
 */
// @ts-ignore: decorator
@inline
function opposite<T>(up: T, v: T, ratio: T): T {
  const n = first<T>(ratio);
  if (n != 1 && n != 2 && n != 3 && n != 4) return exp<T>(neg<T>(mul<T>(v, ratio)));
  const one = div<T>(num<T>(1), up);
  if (n == 1) return one;
  const two = mul<T>(one, one);
  return n == 2 ? two : mul<T>(two, n == 3 ? one : two);
}

/** e^d for |d| below 0.03: Taylor to d³, relative error below 4e-8. */
// @ts-ignore: decorator
@inline
function expNear<T>(d: T): T {
  return mad<T>(d, mad<T>(d, mad<T>(d, num<T>(0.166666667), num<T>(0.5)), num<T>(1)), num<T>(1));
}

/**
 * −I(v) = −drop·(e^v − e^(−v·ratio)) at the v that solves g(v) = v + I(v) − x = 0. Halley's method,
 * v −= g/(g′ − g·g″/2g′), from beyond the root, where it converges monotonically; three steps reach single precision over
 * the whole range of the circuit's values, eight double (tested against other solutions).
 * @precision own 0, input 2e-6, biased 1e-6
 */
// @ts-ignore: decorator
@inline
export function diodePair<T>(x: T, c: usize): T {
  const drop = coefficient<T>(c, DROP);
  const ratio = coefficient<T>(c, RATIO);
  const a = size<T>(x);
  const scale = choose<T>(num<T>(1), div<T>(num<T>(1), ratio), atMost<T>(num<T>(0), x));
  // ln(1 + |x|/drop)/n bounds |v| from above, |x| does too.
  const bound = mul<T>(mul<T>(log2<T>(add<T>(num<T>(1), div<T>(a, drop))), num<T>(0.693147181)), scale);
  let v = signed<T>(lesser<T>(a, bound), x);
  const ratio2 = mul<T>(ratio, ratio);
  const halfDrop = mul<T>(drop, num<T>(0.5));
  let up = num<T>(1);
  let down = num<T>(1);
  let step = num<T>(0);
  const steps = isVector<T>() ? 3 : 8;
  for (let i = 0; i < steps; i++) {
    up = exp<T>(v);
    down = opposite<T>(up, v, ratio);
    const g = sub<T>(mad<T>(drop, sub<T>(up, down), v), x);
    const slope = mad<T>(drop, mad<T>(ratio, down, up), num<T>(1));
    const bend = mul<T>(halfDrop, sub<T>(up, mul<T>(ratio2, down)));
    step = div<T>(mul<T>(g, slope), sub<T>(mul<T>(slope, slope), mul<T>(g, bend)));
    v = sub<T>(v, step);
  }
  // After the last step v is better than the current it was computed from. x − v is I to the rounding of x; where that
  // would cancel, the exponentials are moved by the last step, which is small by then.
  const rest = sub<T>(x, v);
  const upper = mul<T>(up, expNear<T>(neg<T>(step)));
  const lower = mul<T>(down, expNear<T>(mul<T>(step, ratio)));
  const small = mul<T>(drop, sub<T>(upper, lower));
  return neg<T>(choose<T>(small, rest, atMost<T>(size<T>(rest), num<T>(0.5))));
}

/** Knots from the knee on: the singularities are π off it; beyond it v grows as a logarithm. In a string's own scale. */
const KNEE: StaticArray<f32> = [-5, -2.5, -0.5, 1.5, 4, 9, 20, 45, 100, 250, 600];

/** @gentle 10 */
export function knotsDiodePair(c: usize): void {
  const at = <f32>Math.log(1 + 1 / load<f32>(c, 8));
  const scale: f32 = 1 / load<f32>(c, 12);
  for (let n = KNEE.length - 1; n >= 0; n--) if (at + KNEE[n] > 0.1) knot(-scale * (at + KNEE[n]));
  for (let n = 0; n < KNEE.length; n++) if (at + KNEE[n] > 0.1) knot(at + KNEE[n]);
  bends(<f32>0.7 * <f32>Math.min(1, scale), <f32>Math.min(1, scale) * (at - 5), <f32>Math.max(1, scale) * (at + 600));
}

/** From 0 on in cells of an eighth, and of a 32nd of the voltage from a knee on, which lies below 16 whatever the parts. */
export function tableDiodePair(c: usize): void {
  octaves(4, 2, 13, 5, coefficient<f64>(c, RATIO) != 1);
}
