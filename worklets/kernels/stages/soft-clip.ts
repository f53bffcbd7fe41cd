/**
 * The soft clip's curves, as what they add to the straight line: D(x) = f(x) − x, with f of slope 1 at the origin.
 * Computing the difference itself keeps full relative precision for small signals, where f(x) − x would cancel.
 *
 * Every curve's coefficients begin with its working point b and 1/f′(b); here p and 1/p of the algebraic knee follow.
 */
import { bends, corner, gradedCorner, knot, straightPieces } from '../corner-segments';
import { exp2, expm1, log1p, log2 } from '../elementary';
import { octaves } from '../table';
import { add, atMost, choose, coefficient, div, first, greater, input, lesser, mad, mul, neg, num, put, root, signed, size, sub } from '../lanes';

/** What the kernels are told: these parameters' values, in this order. */
const enum Input {
  bias,
  knee,
}

/** Working point at 100 % bias, in knee units. Below 1, so that even the hard clip keeps a slope to normalise to. */
const FULL_BIAS: f64 = 0.9;

const POWER: usize = 2;
const INVERSE: usize = 3;

function workingPoint(v: usize): f64 {
  return (FULL_BIAS * input(v, Input.bias)) / 100;
}

/** Knots of the curves' right halves; the left ones mirror them. */
const TANH_KNOTS: StaticArray<f32> = [0.6, 1.5, 3, 6];
/** Of curves whose singularities are one unit off and whose tails are powers. */
const POWER_KNOTS: StaticArray<f32> = [0.5, 1.2, 2.5, 5, 10, 20, 40];

function knotsBelow(at: StaticArray<f32>): void {
  for (let n = at.length - 1; n >= 0; n--) knot(-at[n]);
}

function knotsAbove(at: StaticArray<f32>): void {
  for (let n = 0; n < at.length; n++) knot(at[n]);
}

/** @precision own 3e-6, input 2e-7, biased 1e-6 */
// @ts-ignore: decorator
@inline
export function tanh<T>(x: T, c: usize): T {
  if (isVector<T>()) {
    // −x³·P(x²)/Q(x²), rational minimax fit (own, iteratively reweighted least squares) on |x| ≤ 8; error 7e-9 of tanh;
    // beyond, tanh is taken as constant (1 − 2e-7).
    const limited = lesser<T>(greater<T>(x, num<T>(-8)), num<T>(8));
    const z = mul<T>(limited, limited);
    let p = mad<T>(z, num<T>(-8.394768877696951e-7), num<T>(-0.000319632730329563));
    p = mad<T>(z, p, num<T>(-0.022600490470689162));
    p = mad<T>(z, p, num<T>(-0.33333329313316473));
    let q = mad<T>(z, num<T>(8.547693457143628e-7), num<T>(0.0003415718534259217));
    q = mad<T>(z, q, num<T>(0.026174803769862354));
    q = mad<T>(z, q, num<T>(0.4678012462811507));
    q = mad<T>(z, q, num<T>(1));
    const d = div<T>(mul<T>(mul<T>(z, limited), p), q);
    return add<T>(d, sub<T>(limited, x));
  } else return Math.tanh(x) - x;
}

export function prepareTanh(v: usize, c: usize): void {
  const b = workingPoint(v);
  const t = Math.tanh(b);
  put(c, 0, b);
  put(c, 1, 1 / (1 - t * t));
}

/** Its poles are at ±iπ/2, and beyond 6 it is flat. @gentle 2.7 */
export function knotsTanh(c: usize): void {
  knotsBelow(TANH_KNOTS);
  knotsAbove(TANH_KNOTS);
  bends(0.18, 0, 6);
}

/** @precision own 3e-6, input 2e-7, biased 1e-6 */
// @ts-ignore: decorator
@inline
export function arctangent<T>(x: T, c: usize): T {
  if (isVector<T>()) {
    // Rational fit on |x| ≤ 1 (error 1e-9), beyond by arctan(x) = ±π/2 + arctan(−1/x).
    const inside = atMost<T>(size<T>(x), num<T>(1));
    const w = choose<T>(x, div<T>(num<T>(-1), x), inside);
    const z = mul<T>(w, w);
    let p = mad<T>(z, num<T>(-0.04180524323041152), num<T>(-0.28812092954695884));
    p = mad<T>(z, p, num<T>(-0.33333324846854967));
    let q = mad<T>(z, num<T>(0.05077407838210997), num<T>(0.5755211997024314));
    q = mad<T>(z, q, num<T>(1.4643559207978247));
    q = mad<T>(z, q, num<T>(1));
    const d = div<T>(mul<T>(mul<T>(z, w), p), q);
    const outside = sub<T>(add<T>(add<T>(signed<T>(num<T>(1.57079637), x), w), d), x);
    return choose<T>(d, outside, inside);
  } else return Math.atan(x) - x;
}

export function prepareArctangent(v: usize, c: usize): void {
  const b = workingPoint(v);
  put(c, 0, b);
  put(c, 1, 1 + b * b);
}

/** Its singularities are at ±i. @gentle 2 */
export function knotsArctangent(c: usize): void {
  knotsBelow(POWER_KNOTS);
  knotsAbove(POWER_KNOTS);
  bends(0.12, 0, 40);
}

/**
 * x − x³/3 inside ±1, ±2/3 beyond.
 * @precision own 3e-6, input 2e-7, biased 1e-6
 */
// @ts-ignore: decorator
@inline
export function cubic<T>(x: T, c: usize): T {
  const inside = lesser<T>(greater<T>(x, num<T>(-1)), num<T>(1));
  const cube = mul<T>(mul<T>(inside, inside), inside);
  return sub<T>(sub<T>(inside, x), mul<T>(cube, num<T>(1.0 / 3)));
}

export function prepareCubic(v: usize, c: usize): void {
  const b = workingPoint(v);
  put(c, 0, b);
  put(c, 1, 1 / (1 - b * b));
}

/** The second derivative jumps by 2 at ±1; it takes a change of more than 3e-3 for a jump to be worth it. @gentle 1 */
export function knotsCubic(c: usize): void {
  corner(-1, 3e-3);
  corner(1, 3e-3);
}

/**
 * x/√(1 + x²) − x = −x³/(r·(1 + r)), r = √(1 + x²).
 * @precision own 3e-6, input 2e-7, biased 1e-6
 */
// @ts-ignore: decorator
@inline
export function algebraicSquare<T>(x: T, c: usize): T {
  const z = mul<T>(x, x);
  const r = root<T>(add<T>(z, num<T>(1)));
  return neg<T>(div<T>(mul<T>(z, x), mad<T>(r, r, r)));
}

export function prepareAlgebraicSquare(v: usize, c: usize): void {
  prepareAlgebraic(v, c);
}

/** Its singularities are at ±i. @gentle 1.7 */
export function knotsAlgebraicSquare(c: usize): void {
  knotsArctangent(c);
}

/**
 * x/(1 + |x|) − x = −x·|x|/(1 + |x|), with a corner at 0.
 * @precision own 3e-6, input 2e-7, biased 1e-6
 */
// @ts-ignore: decorator
@inline
export function algebraicOne<T>(x: T, c: usize): T {
  const a = size<T>(x);
  return neg<T>(div<T>(mul<T>(x, a), add<T>(a, num<T>(1))));
}

export function prepareAlgebraicOne(v: usize, c: usize): void {
  prepareAlgebraic(v, c);
}

/** Two hyperbolas, each with its pole one unit beyond the corner. */
export function cornersAlgebraicOne(c: usize): void {
  knotsBelow(POWER_KNOTS);
  corner(0, 2e-3);
  knotsAbove(POWER_KNOTS);
  bends(0.12, 0, 40);
}

/**
 * min(a, 1/a)^p. The usual whole powers are multiplied out, which is half the work of a logarithm and its inverse; their
 * base is kept so large that no product becomes denormal, where the result no longer matters.
 */
// @ts-ignore: decorator
@inline
function kneePower<T>(a: T, power: T): T {
  const p = <f32>first<T>(power);
  const whole = <i32>p;
  if (!isVector<T>() || <f32>whole != p || whole < 3 || whole > 8) {
    const floor = isVector<T>() ? -60 : -1000;
    return exp2<T>(greater<T>(neg<T>(mul<T>(size<T>(log2<T>(a)), power)), num<T>(floor)));
  }
  const least: f32 = whole <= 4 ? 1e-9 : whole <= 6 ? 1e-6 : 2e-5;
  const base = greater<T>(lesser<T>(a, div<T>(num<T>(1), a)), num<T>(least));
  const square = mul<T>(base, base);
  if (whole == 3) return mul<T>(square, base);
  const fourth = mul<T>(square, square);
  if (whole == 4) return fourth;
  if (whole == 5) return mul<T>(fourth, base);
  const sixth = mul<T>(fourth, square);
  if (whole == 6) return sixth;
  return whole == 7 ? mul<T>(sixth, base) : mul<T>(fourth, fourth);
}

/**
 * x/(1 + |x|^p)^(1/p) − x. With m = min(|x|, 1/|x|)^p both sides of the knee are min(|x|, 1)·(1 + m)^(−1/p). m is kept
 * so large that its products never become denormal, where it no longer matters.
 * @precision own 3e-6, input 2e-7, biased 1e-6
 */
// @ts-ignore: decorator
@inline
export function algebraic<T>(x: T, c: usize): T {
  const a = greater<T>(size<T>(x), num<T>(1e-20));
  const m = kneePower<T>(a, coefficient<T>(c, POWER));
  const lessened = expm1<T>(neg<T>(mul<T>(log1p<T>(m), coefficient<T>(c, INVERSE))));
  const inside = mul<T>(x, lessened);
  const outside = sub<T>(signed<T>(add<T>(num<T>(1), lessened), x), x);
  return choose<T>(inside, outside, atMost<T>(a, num<T>(1)));
}

export function prepareAlgebraic(v: usize, c: usize): void {
  const b = workingPoint(v);
  const p = input(v, Input.knee);
  put(c, 0, b);
  put(c, 1, Math.pow(1 + Math.pow(Math.abs(b), p), 1 + 1 / p));
  put(c, POWER, p);
  put(c, INVERSE, 1 / p);
}

/**
 * The knee has a weak corner at 0 (|x|^(p+1); from p = 5 on it doesn't matter), where a small change in a segment leaves
 * less than 1e-6, and for p > 3 bends as a function of p·(|x| − 1), with singularities π/p off ±1.
 */
export function cornersAlgebraic(c: usize): void {
  const power = load<f32>(c, 8);
  const width: f32 = 3 / power;
  if (power > 3) kneeBelow(width);
  else knotsBelow(POWER_KNOTS);
  if (power < 5) gradedCorner(<f32>Math.pow(4e-6 * power, 1 / (1 + power)));
  if (power > 3) kneeAbove(width);
  else knotsAbove(POWER_KNOTS);
  if (power >= 12) straightPieces();
  if (power > 3) bends((power < 12 ? <f32>0.7 : <f32>1) / power, 1 - 2.2 * width, 1 + 6 * width);
  else bends(0.12, 0, 40);
}

const KNEE: StaticArray<f32> = [-2.2, -1, 0, 1, 2.5, 6];

function kneeBelow(width: f32): void {
  for (let n = KNEE.length - 1; n >= 0; n--) if (KNEE[n] * width > -0.98) knot(-1 - KNEE[n] * width);
}

function kneeAbove(width: f32): void {
  for (let n = 0; n < KNEE.length; n++) if (KNEE[n] * width > -0.98) knot(1 + KNEE[n] * width);
}

/**
 * The knee is as wide as 1/p, and 1.5·p cells an octave resolve it to 1e-6; 26/p octaves from it in either direction
 * S is −1 + 1/|x| or nothing but for 2⁻²⁶.
 */
export function tableAlgebraic(c: usize): void {
  const p = coefficient<f64>(c, POWER);
  const reach = <i32>Math.min(20, Math.ceil(26 / p));
  const bits = p <= 1.6 ? 3 : p <= 5 ? 4 : p <= 10 ? 5 : p < 13 ? 6 : p < 26 ? 7 : 8;
  octaves(0, -reach, reach, bits, false);
}

/**
 * Hard clip at ±1.
 * @precision own 3e-6, input 2e-7, biased 1e-6
 */
// @ts-ignore: decorator
@inline
export function hardClip<T>(x: T, c: usize): T {
  return sub<T>(lesser<T>(greater<T>(x, num<T>(-1)), num<T>(1)), x);
}

export function prepareHardClip(v: usize, c: usize): void {
  put(c, 0, workingPoint(v));
  put(c, 1, 1);
}

export function cornersHardClip(c: usize): void {
  straightPieces();
  corner(-1, 1e-6);
  corner(1, 1e-6);
}
