/**
 * Elementary functions on four lanes over wide ranges, with the relative precision of small arguments kept and one way for
 * all of them. Constants are loaded: V8 builds a constant vector anew wherever it is used, which costs more.
 */
import { madd } from './math';

const TABLE = memory.data<f32>([
  -126, 126, 12582912, 1.44269504, 0.693147181, 0.70710678, 1, 1e-7,
  // 8: (2^f − 1)/f by Taylor, f from −½ to ½
  6.93147181e-1, 2.40226507e-1, 5.55041087e-2, 9.61812911e-3, 1.33335581e-3, 1.54035304e-4, 1.52527338e-5,
  // 15: log2 by 2·artanh
  0.961796694, 2.88539008, 0.320598898, 0.412198583, 0.577078016,
]);

// @ts-ignore: decorator
@inline
function n(index: usize): v128 {
  return v128.load32_splat(TABLE + (index << 2));
}

/** e^z − 1 for −87 ≤ z ≤ 87 (limited to that); relative error below 1e-6. */
// @ts-ignore: decorator
@inline
export function expm1Wide(z: v128): v128 {
  const x = f32x4.pmin(f32x4.pmax(f32x4.mul(z, n(3)), n(0)), n(1));
  // Adding 1.5·2²³ rounds to a whole number and leaves it in the low bits.
  const shifted = f32x4.add(x, n(2));
  const f = f32x4.sub(x, f32x4.sub(shifted, n(2)));
  const f2 = f32x4.mul(f, f);
  const low = madd(f2, madd(f, n(11), n(10)), madd(f, n(9), n(8)));
  const high = madd(f2, n(14), madd(f, n(13), n(12)));
  const q = f32x4.mul(f, madd(f32x4.mul(f2, f2), high, low));
  // 2^(i + f) − 1 = 2^i·(2^f − 1) + (2^i − 1); the last is nothing for small arguments.
  const scale = i32x4.add(n(6), i32x4.shl(shifted, 23));
  return madd(scale, q, f32x4.sub(scale, n(6)));
}

/** ln(1 + m); relative error below 1e-6; what is below −1 + 1e-7 counts as that. */
// @ts-ignore: decorator
@inline
export function log1pWide(m: v128): v128 {
  const y = f32x4.pmax(f32x4.add(m, n(6)), n(7));
  // Subtracting the bits of √½ puts the mantissa's break at √2 instead of 2.
  const shifted = i32x4.sub(y, n(5));
  const exponent = i32x4.shr_s(shifted, 23);
  const mantissa = i32x4.sub(y, i32x4.shl(exponent, 23));
  const isNear = i32x4.eq(exponent, i32x4.splat(0));
  // Near 1 the mantissa less 1 is m itself, which has lost nothing to rounding.
  const over = v128.bitselect(m, f32x4.sub(mantissa, n(6)), isNear);
  const t = f32x4.div(over, f32x4.add(mantissa, n(6)));
  const t2 = f32x4.mul(t, t);
  const t4 = f32x4.mul(t2, t2);
  const low = madd(t2, n(15), n(16));
  const high = madd(t4, n(17), madd(t2, n(18), n(19)));
  const p = madd(t4, high, low);
  return f32x4.mul(madd(t, p, f32x4.convert_i32x4_s(exponent)), n(4));
}
