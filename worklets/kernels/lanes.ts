/**
 * Arithmetic for one source in two widths: T is v128, four single-precision lanes (the sound), or f64, one number in
 * double precision (calibration, screen, bench). Which one is known when it is compiled, so nothing is decided at run
 * time. Limits are pmin and pmax, which are one instruction where min and max, with their rules for NaN, are many.
 */

/** Most coefficients of a kernel; the build reads it here. Those in single precision stand behind as many in double. */
export const MAX_COEFFICIENTS: usize = 224;

/** The same number in every lane. */
// @ts-ignore: decorator
@inline
export function num<T>(value: f64): T {
  if (isVector<T>()) return f32x4.splat(<f32>value);
  else return <T>value;
}

/** Coefficient `n` at `c`: single precision for lanes, double for one number. */
// @ts-ignore: decorator
@inline
export function coefficient<T>(c: usize, n: usize): T {
  if (isVector<T>()) return v128.load32_splat(c + (n << 2));
  else return load<f64>(c + (n << 3));
}

/** The stage's value that the kernel's `Input` names, always in double precision. */
// @ts-ignore: decorator
@inline
export function input(v: usize, n: i32): f64 {
  return load<f64>(v + ((<usize>n) << 3));
}

/** Writes coefficient `n` in double precision; the host of `prepare` narrows them. */
// @ts-ignore: decorator
@inline
export function put(c: usize, n: usize, value: f64): void {
  store<f64>(c + (n << 3), value);
}

// @ts-ignore: decorator
@inline
export function add<T>(a: T, b: T): T {
  if (isVector<T>()) return f32x4.add(a, b);
  else return a + b;
}

// @ts-ignore: decorator
@inline
export function sub<T>(a: T, b: T): T {
  if (isVector<T>()) return f32x4.sub(a, b);
  else return a - b;
}

// @ts-ignore: decorator
@inline
export function mul<T>(a: T, b: T): T {
  if (isVector<T>()) return f32x4.mul(a, b);
  else return a * b;
}

// @ts-ignore: decorator
@inline
export function div<T>(a: T, b: T): T {
  if (isVector<T>()) return f32x4.div(a, b);
  else return a / b;
}

/** a·b + c in two roundings: the same on every host. */
// @ts-ignore: decorator
@inline
export function mad<T>(a: T, b: T, c: T): T {
  return add<T>(mul<T>(a, b), c);
}

// @ts-ignore: decorator
@inline
export function neg<T>(a: T): T {
  if (isVector<T>()) return f32x4.neg(a);
  else return -a;
}

// @ts-ignore: decorator
@inline
export function size<T>(a: T): T {
  if (isVector<T>()) return f32x4.abs(a);
  else return Math.abs(a);
}

// @ts-ignore: decorator
@inline
export function root<T>(a: T): T {
  if (isVector<T>()) return f32x4.sqrt(a);
  else return Math.sqrt(a);
}

// @ts-ignore: decorator
@inline
export function lesser<T>(a: T, b: T): T {
  if (isVector<T>()) return f32x4.pmin(a, b);
  else return b < a ? b : a;
}

// @ts-ignore: decorator
@inline
export function greater<T>(a: T, b: T): T {
  if (isVector<T>()) return f32x4.pmax(a, b);
  else return a < b ? b : a;
}

/** `magnitude` (≥ 0) with the sign of `x`. */
// @ts-ignore: decorator
@inline
export function signed<T>(magnitude: T, x: T): T {
  if (isVector<T>()) return v128.or(magnitude, v128.and(x, f32x4.splat(-0.0)));
  else return Math.abs(magnitude) * (x < 0 ? -1 : 1);
}

/** A condition as `choose` takes it: all ones in a lane, or 1. */
// @ts-ignore: decorator
@inline
export function atMost<T>(a: T, b: T): T {
  if (isVector<T>()) return f32x4.le(a, b);
  else return a <= b ? 1 : 0;
}

// @ts-ignore: decorator
@inline
export function choose<T>(yes: T, no: T, condition: T): T {
  if (isVector<T>()) return v128.bitselect(yes, no, condition);
  else return condition != 0 ? yes : no;
}

/** True when the condition holds in every lane. */
// @ts-ignore: decorator
@inline
export function everywhere<T>(condition: T): bool {
  if (isVector<T>()) return v128.all_true<i32>(condition);
  else return condition != 0;
}

/** The number in the first lane, for what is the same in all of them. */
// @ts-ignore: decorator
@inline
export function first<T>(x: T): f64 {
  if (isVector<T>()) return <f64>f32x4.extract_lane(x, 0);
  else return <f64>x;
}
