/**
 * Elementary functions in both widths (lanes.ts). For four lanes ranges and errors are stated at each, and all are
 * branch-free; for one number they are those of the standard library, which is compiled with the kernels, so that every
 * host has the same.
 */
import { mul, num } from './lanes';
import { k, madd } from './math';

/**
 * c0 + c1·x + … + c7·x⁷ by Estrin's scheme: halves of halves, so that what waits for what is three steps deep instead of
 * seven. These functions are chains, and their length, not their work, sets the time.
 */
// @ts-ignore: decorator
@inline
function polynomial(x: v128, c0: v128, c1: v128, c2: v128, c3: v128, c4: v128, c5: v128, c6: v128, c7: v128): v128 {
  const x2 = f32x4.mul(x, x);
  const low = madd(x2, madd(x, c3, c2), madd(x, c1, c0));
  const high = madd(x2, madd(x, c7, c6), madd(x, c5, c4));
  return madd(f32x4.mul(x2, x2), high, low);
}

/**
 * 2^x for −126 ≤ x ≤ 126 (limited to that). Taylor polynomial of degree 7 on ±½; relative error below 2e-7.
 */
// @ts-ignore: decorator
@inline
function exp2Lanes(x: v128): v128 {
  const limited = f32x4.pmin(f32x4.pmax(x, k(-126)), k(126));
  // Adding 1.5·2²³ rounds to a whole number and leaves it in the low bits.
  const shifted = f32x4.add(limited, k(12582912));
  const f = f32x4.sub(limited, f32x4.sub(shifted, k(12582912)));
  const p = polynomial(
    f,
    k(1),
    k(6.93147181e-1),
    k(2.40226507e-1),
    k(5.55041087e-2),
    k(9.61812911e-3),
    k(1.33335581e-3),
    k(1.54035304e-4),
    k(1.52527338e-5),
  );
  return i32x4.add(p, i32x4.shl(shifted, 23));
}


/**
 * log2(x) for positive normal x. The mantissa is taken to [√½, √2) and 2·artanh(t), t = (m − 1)/(m + 1), is summed to
 * t⁹; error below 1e-7 absolute.
 */
// @ts-ignore: decorator
@inline
function log2Lanes(x: v128): v128 {
  // Subtracting the bits of √½ puts the mantissa's break at √2 instead of 2.
  const shifted = i32x4.sub(x, k(0.70710678));
  const exponent = i32x4.shr_s(shifted, 23);
  const m = i32x4.sub(x, i32x4.shl(exponent, 23));
  const t = f32x4.div(f32x4.sub(m, k(1)), f32x4.add(m, k(1)));
  const t2 = f32x4.mul(t, t);
  const t4 = f32x4.mul(t2, t2);
  const low = madd(t2, k(0.961796694), k(2.88539008));
  const high = madd(t4, k(0.320598898), madd(t2, k(0.412198583), k(0.577078016)));
  const p = madd(t4, high, low);
  return madd(t, p, f32x4.convert_i32x4_s(exponent));
}

/** ln(1 + m) for 0 ≤ m ≤ 1, 2·artanh(m/(2 + m)) summed to t¹⁵; relative error below 1e-7. */
// @ts-ignore: decorator
@inline
function log1pLanes(m: v128): v128 {
  const t = f32x4.div(m, f32x4.add(m, k(2)));
  const t2 = f32x4.mul(t, t);
  const p = polynomial(
    t2,
    k(2),
    k(0.666666667),
    k(0.4),
    k(0.285714286),
    k(0.222222222),
    k(0.181818182),
    k(0.153846154),
    k(0.133333333),
  );
  return f32x4.mul(t, p);
}

/** e^z − 1 for −0.7 ≤ z ≤ 0, Taylor to z⁹; relative error below 1e-7. */
// @ts-ignore: decorator
@inline
function expm1Lanes(z: v128): v128 {
  const p = polynomial(
    z,
    k(1),
    k(0.5),
    k(0.166666667),
    k(4.16666667e-2),
    k(8.33333333e-3),
    k(1.38888889e-3),
    k(1.98412698e-4),
    madd(z, k(2.75573192e-6), k(2.48015873e-5)),
  );
  return f32x4.mul(z, p);
}

// @ts-ignore: decorator
@inline
export function exp2<T>(x: T): T {
  if (isVector<T>()) return exp2Lanes(x);
  else return Math.pow(2, x);
}

/** e^x; for lanes with the limits of 2^x. */
// @ts-ignore: decorator
@inline
export function exp<T>(x: T): T {
  if (isVector<T>()) return exp2Lanes(f32x4.mul(x, k(1.44269504)));
  else return Math.exp(x);
}

// @ts-ignore: decorator
@inline
export function log2<T>(x: T): T {
  if (isVector<T>()) return log2Lanes(x);
  else return Math.log2(x);
}

/** ln x for positive normal x. */
// @ts-ignore: decorator
@inline
export function log<T>(x: T): T {
  if (isVector<T>()) return mul<T>(log2Lanes(x), num<T>(0.693147181));
  else return Math.log(x);
}

/** ln(1 + m) for 0 ≤ m ≤ 1. */
// @ts-ignore: decorator
@inline
export function log1p<T>(m: T): T {
  if (isVector<T>()) return log1pLanes(m);
  else return Math.log1p(m);
}

/** e^z − 1 for −0.7 ≤ z ≤ 0. */
// @ts-ignore: decorator
@inline
export function expm1<T>(z: T): T {
  if (isVector<T>()) return expm1Lanes(z);
  else return Math.expm1(z);
}
