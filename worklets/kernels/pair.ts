/** Short names for two lanes in double precision, left and right of a frame; what math.ts is for four. */

/** The same number in both lanes, out of coefficient `n` at `c`. */
// @ts-ignore: decorator
@inline
export function both(c: usize, n: usize): v128 {
  return v128.load64_splat(c + (n << 3));
}

/** a·b + c in two roundings. */
// @ts-ignore: decorator
@inline
export function madd2(a: v128, b: v128, c: v128): v128 {
  return f64x2.add(f64x2.mul(a, b), c);
}

/** Zero where it is so little that it would become denormal on its way to nothing. */
// @ts-ignore: decorator
@inline
export function kept(x: v128): v128 {
  return v128.and(x, f64x2.gt(f64x2.abs(x), f64x2.splat(1e-30)));
}

/** `count` coefficients in double precision on their way from c0 to c1, t from 0 to 1, into `target`. */
export function blendCoefficients(target: usize, c0: usize, c1: usize, count: usize, t: f64): void {
  for (let n: usize = 0; n < count << 3; n += 8) {
    const from = load<f64>(c0 + n);
    store<f64>(target + n, from + t * (load<f64>(c1 + n) - from));
  }
}
