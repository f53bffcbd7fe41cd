/** Elementary functions on four lanes. Ranges and errors are stated at each; all are branch-free. */

export const ABS_MASK: v128 = i32x4.splat(0x7fffffff);
export const ONE: v128 = f32x4.splat(1);

// @ts-ignore: decorator
@inline
export function absolute(x: v128): v128 {
  return v128.and(x, i32x4.splat(0x7fffffff));
}

/** `magnitude` (≥ 0) with the sign of `x`. */
// @ts-ignore: decorator
@inline
export function withSign(magnitude: v128, x: v128): v128 {
  return v128.or(magnitude, v128.and(x, i32x4.splat(0x80000000)));
}

/** a·b + c in two roundings: the same on every host. */
// @ts-ignore: decorator
@inline
export function madd(a: v128, b: v128, c: v128): v128 {
  return f32x4.add(f32x4.mul(a, b), c);
}

// @ts-ignore: decorator
@inline
export function k(value: f32): v128 {
  return f32x4.splat(value);
}

/**
 * 2^x for −126 ≤ x ≤ 126 (limited to that). Taylor polynomial of degree 7 on ±½; relative error below 2e-7.
 */
// @ts-ignore: decorator
@inline
export function exp2(x: v128): v128 {
  const limited = f32x4.min(f32x4.max(x, k(-126)), k(126));
  const whole = f32x4.nearest(limited);
  const f = f32x4.sub(limited, whole);
  let p = madd(f, k(1.52527338e-5), k(1.54035304e-4));
  p = madd(f, p, k(1.33335581e-3));
  p = madd(f, p, k(9.61812911e-3));
  p = madd(f, p, k(5.55041087e-2));
  p = madd(f, p, k(2.40226507e-1));
  p = madd(f, p, k(6.93147181e-1));
  p = madd(f, p, k(1));
  const exponent = i32x4.shl(i32x4.trunc_sat_f32x4_s(whole), 23);
  return i32x4.add(p, exponent);
}

/** e^x, same limits as `exp2`. */
// @ts-ignore: decorator
@inline
export function exp(x: v128): v128 {
  return exp2(f32x4.mul(x, k(1.44269504)));
}

/**
 * log2(x) for positive normal x. The mantissa is taken to [√½, √2) and 2·artanh(t), t = (m − 1)/(m + 1), is summed to
 * t⁹; error below 1e-7 absolute.
 */
// @ts-ignore: decorator
@inline
export function log2(x: v128): v128 {
  // Subtracting the bits of √½ puts the mantissa's break at √2 instead of 2.
  const shifted = i32x4.sub(x, i32x4.splat(0x3f3504f3));
  const exponent = i32x4.shr_s(shifted, 23);
  const m = i32x4.sub(x, i32x4.shl(exponent, 23));
  const t = f32x4.div(f32x4.sub(m, k(1)), f32x4.add(m, k(1)));
  const t2 = f32x4.mul(t, t);
  let p = madd(t2, k(0.320598898), k(0.412198583));
  p = madd(t2, p, k(0.577078016));
  p = madd(t2, p, k(0.961796694));
  p = madd(t2, p, k(2.88539008));
  return madd(t, p, f32x4.convert_i32x4_s(exponent));
}

/** ln(1 + m) for 0 ≤ m ≤ 1, 2·artanh(m/(2 + m)) summed to t¹⁵; relative error below 1e-7. */
// @ts-ignore: decorator
@inline
export function log1p(m: v128): v128 {
  const t = f32x4.div(m, f32x4.add(m, k(2)));
  const t2 = f32x4.mul(t, t);
  let p = madd(t2, k(0.133333333), k(0.153846154));
  p = madd(t2, p, k(0.181818182));
  p = madd(t2, p, k(0.222222222));
  p = madd(t2, p, k(0.285714286));
  p = madd(t2, p, k(0.4));
  p = madd(t2, p, k(0.666666667));
  p = madd(t2, p, k(2));
  return f32x4.mul(t, p);
}

/** e^z − 1 for −0.7 ≤ z ≤ 0, Taylor to z⁹; relative error below 1e-7. */
// @ts-ignore: decorator
@inline
export function expm1(z: v128): v128 {
  let p = madd(z, k(2.75573192e-6), k(2.48015873e-5));
  p = madd(z, p, k(1.98412698e-4));
  p = madd(z, p, k(1.38888889e-3));
  p = madd(z, p, k(8.33333333e-3));
  p = madd(z, p, k(4.16666667e-2));
  p = madd(z, p, k(1.66666667e-1));
  p = madd(z, p, k(0.5));
  p = madd(z, p, k(1));
  return f32x4.mul(z, p);
}
