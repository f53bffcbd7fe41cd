/**
 * The curves, as what they add to the straight line: D(x) = f(x) − x, with f of slope 1 at the origin. Computing the
 * difference itself keeps full relative precision for small signals, where f(x) − x would cancel.
 */
import { absolute, exp, exp2, expm1, k, log1p, log2, madd, withSign } from './math';

/**
 * tanh(x) − x = −x³·P(x²)/Q(x²), rational minimax fit (own, iteratively reweighted least squares) on |x| ≤ 8;
 * error 7e-9 of tanh; beyond, tanh is taken as constant (1 − 2e-7).
 */
// @ts-ignore: decorator
@inline
export function tanhDifference(x: v128): v128 {
  const c = f32x4.pmin(f32x4.pmax(x, k(-8)), k(8));
  const z = f32x4.mul(c, c);
  let p = madd(z, k(-8.394768877696951e-7), k(-0.000319632730329563));
  p = madd(z, p, k(-0.022600490470689162));
  p = madd(z, p, k(-0.33333329313316473));
  let q = madd(z, k(8.547693457143628e-7), k(0.0003415718534259217));
  q = madd(z, q, k(0.026174803769862354));
  q = madd(z, q, k(0.4678012462811507));
  q = madd(z, q, k(1));
  const d = f32x4.div(f32x4.mul(f32x4.mul(z, c), p), q);
  return f32x4.add(d, f32x4.sub(c, x));
}

/** arctan(x) − x; rational fit on |x| ≤ 1 (error 1e-9), beyond by arctan(x) = ±π/2 + arctan(−1/x). */
// @ts-ignore: decorator
@inline
export function arctangentDifference(x: v128): v128 {
  const a = absolute(x);
  const inside = f32x4.le(a, k(1));
  const w = v128.bitselect(x, f32x4.div(k(-1), x), inside);
  const z = f32x4.mul(w, w);
  let p = madd(z, k(-0.04180524323041152), k(-0.28812092954695884));
  p = madd(z, p, k(-0.33333324846854967));
  let q = madd(z, k(0.05077407838210997), k(0.5755211997024314));
  q = madd(z, q, k(1.4643559207978247));
  q = madd(z, q, k(1));
  const d = f32x4.div(f32x4.mul(f32x4.mul(z, w), p), q);
  const outside = f32x4.sub(f32x4.add(f32x4.add(withSign(k(1.57079637), x), w), d), x);
  return v128.bitselect(d, outside, inside);
}

/** x − x³/3 inside ±1, ±2/3 beyond. */
// @ts-ignore: decorator
@inline
export function cubicDifference(x: v128): v128 {
  const c = f32x4.pmin(f32x4.pmax(x, k(-1)), k(1));
  const cube = f32x4.mul(f32x4.mul(c, c), c);
  return f32x4.sub(f32x4.sub(c, x), f32x4.mul(cube, k(0.333333333)));
}

/** x/√(1 + x²) − x = −x³/(r·(1 + r)), r = √(1 + x²). */
// @ts-ignore: decorator
@inline
export function squareDifference(x: v128): v128 {
  const z = f32x4.mul(x, x);
  const r = f32x4.sqrt(f32x4.add(z, k(1)));
  return f32x4.neg(f32x4.div(f32x4.mul(z, x), madd(r, r, r)));
}

/** x/(1 + |x|) − x = −x·|x|/(1 + |x|). */
// @ts-ignore: decorator
@inline
export function oneDifference(x: v128): v128 {
  const a = absolute(x);
  return f32x4.neg(f32x4.div(f32x4.mul(x, a), f32x4.add(a, k(1))));
}

/**
 * min(a, 1/a)^p. The usual whole powers are multiplied out, which is half the work of a logarithm and its inverse; their
 * base is kept so large that no product becomes denormal, where the result no longer matters.
 */
// @ts-ignore: decorator
@inline
function kneePower(a: v128, power: v128): v128 {
  const p = f32x4.extract_lane(power, 0);
  const whole = <i32>p;
  if (<f32>whole != p || whole < 3 || whole > 8) {
    return exp2(f32x4.pmax(f32x4.neg(f32x4.mul(absolute(log2(a)), power)), k(-60)));
  }
  const least: f32 = whole <= 4 ? 1e-9 : whole <= 6 ? 1e-6 : 2e-5;
  const base = f32x4.pmax(f32x4.pmin(a, f32x4.div(k(1), a)), k(least));
  const square = f32x4.mul(base, base);
  if (whole == 3) return f32x4.mul(square, base);
  const fourth = f32x4.mul(square, square);
  if (whole == 4) return fourth;
  if (whole == 5) return f32x4.mul(fourth, base);
  const sixth = f32x4.mul(fourth, square);
  if (whole == 6) return sixth;
  return whole == 7 ? f32x4.mul(sixth, base) : f32x4.mul(fourth, fourth);
}

/**
 * x/(1 + |x|^p)^(1/p) − x. With m = min(|x|, 1/|x|)^p both sides of the knee are min(|x|, 1)·(1 + m)^(−1/p). m is kept
 * so large that its products never become denormal, where it no longer matters.
 */
// @ts-ignore: decorator
@inline
export function algebraicDifference(x: v128, power: v128, inverse: v128): v128 {
  const a = f32x4.pmax(absolute(x), k(1e-20));
  const m = kneePower(a, power);
  const lessened = expm1(f32x4.neg(f32x4.mul(log1p(m), inverse)));
  const inside = f32x4.mul(x, lessened);
  const outside = f32x4.sub(withSign(f32x4.add(k(1), lessened), x), x);
  return v128.bitselect(inside, outside, f32x4.le(a, k(1)));
}

/** Hard clip at ±1. */
// @ts-ignore: decorator
@inline
export function hardDifference(x: v128): v128 {
  return f32x4.sub(f32x4.pmin(f32x4.pmax(x, k(-1)), k(1)), x);
}

/**
 * e^(−v·ratio), `up` being e^v. The ratio is that of two whole numbers of diodes; where it is whole itself, as for like
 * strings, powers take the place of a second exponential.
 */
// @ts-ignore: decorator
@inline
function opposite(up: v128, v: v128, ratio: v128): v128 {
  const n = f32x4.extract_lane(ratio, 0);
  if (n != 1 && n != 2 && n != 3 && n != 4) return exp(f32x4.neg(f32x4.mul(v, ratio)));
  const one = f32x4.div(k(1), up);
  if (n == 1) return one;
  const two = f32x4.mul(one, one);
  return n == 2 ? two : f32x4.mul(two, n == 3 ? one : two);
}

/** e^d for |d| below 0.03: Taylor to d³, relative error below 4e-8. */
// @ts-ignore: decorator
@inline
function expNear(d: v128): v128 {
  return madd(d, madd(d, madd(d, k(0.166666667), k(0.5)), k(1)), k(1));
}

/**
 * Current through a pair of diode strings behind a resistance, times that resistance: I(v) = drop·(e^v − e^(−v·ratio))
 * at the v that solves g(v) = v + I(v) − x = 0. Halley's method, v −= g/(g′ − g·g″/2g′), from beyond the root, where
 * it converges monotonically; three steps reach single precision over the whole range of the circuit's values (tested
 * against double precision).
 */
// @ts-ignore: decorator
@inline
export function diodeCurrent(x: v128, drop: v128, ratio: v128): v128 {
  const positive = f32x4.ge(x, k(0));
  const a = absolute(x);
  const scale = v128.bitselect(k(1), f32x4.div(k(1), ratio), positive);
  // ln(1 + |x|/drop)/n bounds |v| from above, |x| does too.
  const bound = f32x4.mul(f32x4.mul(log2(f32x4.add(k(1), f32x4.div(a, drop))), k(0.693147181)), scale);
  let v = withSign(f32x4.pmin(a, bound), x);
  const ratio2 = f32x4.mul(ratio, ratio);
  const halfDrop = f32x4.mul(drop, k(0.5));
  let up = k(1);
  let down = k(1);
  let step = k(0);
  for (let i = 0; i < 3; i++) {
    up = exp(v);
    down = opposite(up, v, ratio);
    const g = f32x4.sub(madd(drop, f32x4.sub(up, down), v), x);
    const slope = madd(drop, madd(ratio, down, up), k(1));
    const bend = f32x4.mul(halfDrop, f32x4.sub(up, f32x4.mul(ratio2, down)));
    step = f32x4.div(f32x4.mul(g, slope), f32x4.sub(f32x4.mul(slope, slope), f32x4.mul(g, bend)));
    v = f32x4.sub(v, step);
  }
  // After the last step v is better than the current it was computed from. x − v is I to the rounding of x; where that
  // would cancel, the exponentials are moved by the last step, which is small by then.
  const rest = f32x4.sub(x, v);
  const upper = f32x4.mul(up, expNear(f32x4.neg(step)));
  const lower = f32x4.mul(down, expNear(f32x4.mul(step, ratio)));
  const small = f32x4.mul(drop, f32x4.sub(upper, lower));
  return v128.bitselect(rest, small, f32x4.gt(absolute(rest), k(0.5)));
}

/** Polynomial inside ±1 and its monotone bounded continuation beyond; see the harmonic set's declaration. */
// @ts-ignore: decorator
@inline
export function harmonicDifference(x: v128, c: usize): v128 {
  let p = madd(x, v128.load32_splat(c, 20), v128.load32_splat(c, 16));
  p = madd(x, p, v128.load32_splat(c, 12));
  p = madd(x, p, v128.load32_splat(c, 8));
  p = madd(x, p, v128.load32_splat(c, 4));
  p = madd(x, p, v128.load32_splat(c, 0));
  const inside = f32x4.mul(f32x4.mul(x, x), p);
  const a = absolute(x);
  const within = f32x4.le(a, k(1));
  if (v128.all_true<i32>(within)) return inside;
  const upper = f32x4.ge(x, k(0));
  const edge = v128.bitselect(v128.load32_splat(c, 24), v128.load32_splat(c, 40), upper);
  const s = v128.bitselect(v128.load32_splat(c, 28), v128.load32_splat(c, 44), upper);
  const g = v128.bitselect(v128.load32_splat(c, 32), v128.load32_splat(c, 48), upper);
  const lambda = v128.bitselect(v128.load32_splat(c, 36), v128.load32_splat(c, 52), upper);
  const t = f32x4.pmax(f32x4.sub(a, k(1)), k(0));
  const r = f32x4.div(k(1), madd(lambda, t, k(1)));
  const share = f32x4.div(g, lambda);
  const first = f32x4.mul(f32x4.mul(f32x4.sub(s, share), k(0.5)), f32x4.sub(k(1), f32x4.mul(r, r)));
  const second = f32x4.mul(share, f32x4.sub(k(1), r));
  const grown = f32x4.div(f32x4.add(first, second), lambda);
  const outward = f32x4.add(edge, grown);
  const signed = v128.bitselect(outward, f32x4.neg(outward), upper);
  return v128.bitselect(inside, f32x4.sub(signed, x), within);
}
