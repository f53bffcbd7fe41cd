/**
 * Harmonics 2 to 7 at chosen levels for a sine at the alignment level, u = ±1: a sum of Chebyshev polynomials
 * (Tₙ(cos θ) = cos nθ, DLMF 18.5.1), of which only powers from 2 on are kept, and a monotone bounded continuation beyond.
 */
import { bends, corner, knot } from '../corner-segments';
import { add, atMost, choose, coefficient, div, everywhere, greater, input, mad, mul, neg, num, put, size, sub } from '../lanes';

/** What the kernel is told: these parameters' values, in this order. */
const enum Input {
  h2,
  h3,
  h4,
  h5,
  h6,
  h7,
}

/** Harmonics at and below this level, dBc, are left out. */
const OFF: f64 = -100;

/** T₂ to T₇ by ascending power, eight numbers each. */
// biome-ignore format: one polynomial a line
const CHEBYSHEV: StaticArray<f64> = [
  -1, 0, 2, 0, 0, 0, 0, 0,
  0, -3, 0, 4, 0, 0, 0, 0,
  1, 0, -8, 0, 8, 0, 0, 0,
  0, 5, 0, -20, 0, 16, 0, 0,
  -1, 0, 18, 0, -48, 0, 32, 0,
  0, -7, 0, 56, 0, -112, 0, 64,
];

/**
 * Signs that make every odd harmonic bend the curve the same way at the origin (compressive) and the even ones likewise,
 * so that harmonics add up instead of undoing each other.
 */
const SIGNS: StaticArray<f64> = [1, -1, -1, 1, 1, -1];

/** Coefficients: powers 2 to 7 from here, then per side value at the edge, slope s, k and λ. */
const POWERS: usize = 2;
const UPPER: usize = 8;
const LOWER: usize = 12;

/** Amplitude ratio of harmonic `n` as set; 0 where it is off. */
function ratioOf(v: usize, n: i32): f64 {
  const dbc = input(v, n - 2);
  return dbc <= OFF ? 0 : Math.pow(10, dbc / 20);
}

export function prepareHarmonicSet(v: usize, c: usize): void {
  put(c, 0, 0);
  put(c, 1, 1);
  // The odd polynomials lose their slope at the origin, which moves the fundamental; dividing by it beforehand makes the
  // levels come out as set: fundamental F = 1/(1 + Σ n·r_n over odd n).
  let weight: f64 = 1;
  for (let n = 3; n <= 7; n += 2) weight += <f64>n * ratioOf(v, n);
  const fundamental = 1 / weight;
  for (let power = 2; power <= 7; power++) {
    let sum: f64 = 0;
    for (let n = power; n <= 7; n++) {
      sum += SIGNS[n - 2] * ratioOf(v, n) * fundamental * CHEBYSHEV[(n - 2) * 8 + power];
    }
    put(c, POWERS + power - 2, sum);
  }
  continuation(c, 1, UPPER);
  continuation(c, -1, LOWER);
}

/**
 * The continuation beyond the alignment peak on one side, f′(t) = (s + k·t)/(1 + λ·t)³, t = |u| − 1: monotone (f′ keeps
 * the edge's sign), bounded (f′ falls as t⁻²…⁻³) and with a continuous second derivative. In outward coordinates (both
 * axes turned over on the lower side) f′(0) = s and f″(0) = k − 3λs, so k follows from the curvature, and λ is taken
 * large enough that k has the sign of s. The magnitude in λ makes the curve flat from both sides as s passes through 0
 * when a level is moved; with the sign it would jump there.
 */
function continuation(c: usize, side: f64, at: usize): void {
  let value: f64 = 1;
  let slope: f64 = 1;
  let curvature: f64 = 0;
  for (let power = 2; power <= 7; power++) {
    // Even powers change sign when both axes are turned over.
    const a = (power % 2 == 0 ? side : 1) * coefficient<f64>(c, POWERS + power - 2);
    value += a;
    slope += <f64>power * a;
    curvature += <f64>(power * (power - 1)) * a;
  }
  // A slope of almost nothing can't carry any curvature outwards without turning over: such an edge stays flat.
  const steep = Math.abs(slope) < 1e-6 ? 1e-6 : slope;
  const lambda = Math.max(1, Math.abs(curvature / (3 * steep)) * 1.0001);
  put(c, at, value);
  put(c, at + 1, steep);
  put(c, at + 2, curvature + 3 * lambda * steep);
  put(c, at + 3, lambda);
}

/**
 * Beyond ±1 the continuation has its pole 1/λ before the edge, where the third derivative jumps; between them a tone of
 * the seventh order bends within a seventh of a unit. @gentle 1
 */
export function knotsHarmonicSet(c: usize): void {
  const below: f32 = 1 / load<f32>(c, (LOWER + 3) << 2);
  const above: f32 = 1 / load<f32>(c, (UPPER + 3) << 2);
  for (let n: f32 = 511; n >= 1; n = (n - 1) / 2) knot(-1 - n * below);
  corner(-1, <f32>Math.min(0.1, 0.3 * below));
  for (let n: f32 = -0.8; n < 1; n += 0.4) knot(n);
  corner(1, <f32>Math.min(0.1, 0.3 * above));
  for (let n: f32 = 1; n <= 511; n = 2 * n + 1) knot(1 + n * above);
  let high: f32 = 0;
  for (let power: usize = 4; power <= 7; power++) high += <f32>Math.abs(load<f32>(c + ((POWERS + power - 2) << 2)));
  const beyond: f32 = <f32>0.25 * <f32>Math.min(below, above);
  const to: f32 = 1 + 511 * <f32>Math.max(below, above);
  if (high > 0.05) bends(<f32>Math.min(0.06, beyond), 0, to);
  else bends(beyond, 1, to);
}

/** @precision own 3e-6, input 2e-7, biased 1e-6 */
// @ts-ignore: decorator
@inline
export function harmonicSet<T>(x: T, c: usize): T {
  let p = mad<T>(x, coefficient<T>(c, 7), coefficient<T>(c, 6));
  p = mad<T>(x, p, coefficient<T>(c, 5));
  p = mad<T>(x, p, coefficient<T>(c, 4));
  p = mad<T>(x, p, coefficient<T>(c, 3));
  p = mad<T>(x, p, coefficient<T>(c, 2));
  const inside = mul<T>(mul<T>(x, x), p);
  const a = size<T>(x);
  const within = atMost<T>(a, num<T>(1));
  if (everywhere<T>(within)) return inside;
  const upper = atMost<T>(num<T>(0), x);
  const edge = choose<T>(coefficient<T>(c, UPPER), coefficient<T>(c, LOWER), upper);
  const s = choose<T>(coefficient<T>(c, UPPER + 1), coefficient<T>(c, LOWER + 1), upper);
  const g = choose<T>(coefficient<T>(c, UPPER + 2), coefficient<T>(c, LOWER + 2), upper);
  const lambda = choose<T>(coefficient<T>(c, UPPER + 3), coefficient<T>(c, LOWER + 3), upper);
  const t = greater<T>(sub<T>(a, num<T>(1)), num<T>(0));
  const r = div<T>(num<T>(1), mad<T>(lambda, t, num<T>(1)));
  const share = div<T>(g, lambda);
  const steep = mul<T>(mul<T>(sub<T>(s, share), num<T>(0.5)), sub<T>(num<T>(1), mul<T>(r, r)));
  const flat = mul<T>(share, sub<T>(num<T>(1), r));
  const grown = div<T>(add<T>(steep, flat), lambda);
  const outward = add<T>(edge, grown);
  return choose<T>(inside, sub<T>(choose<T>(outward, neg<T>(outward), upper), x), within);
}
