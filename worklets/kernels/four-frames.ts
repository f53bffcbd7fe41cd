/**
 * Four frames of a circuit in vectors of two, left and right of a frame side by side: what the coefficients of
 * circuit-block.ts are taken with. Double precision for what goes from frame to frame, single for the rest.
 */
import { MAX_COEFFICIENTS } from './lanes';
import { k, madd } from './math';

/** Bytes of the coefficients in double precision; those in single follow. */
const WIDE: usize = 8 * MAX_COEFFICIENTS;
/** The coefficients at hand. They stand still, so that a load of one is one instruction, without an address to compute. */
const wide = memory.data(12 * 224, 16);
const single = wide + WIDE;

/** Takes a circuit's coefficients. */
export function take(c: usize): void {
  memory.copy(wide, c, WIDE + WIDE / 2);
}

// @ts-ignore: decorator
@inline
export function co(n: usize): v128 {
  return v128.load32_splat(single + (n << 2));
}

/** Coefficients of two frames, each twice. */
// @ts-ignore: decorator
@inline
export function both(n: usize): v128 {
  return v128.load(single + (n << 2));
}

/** A pair of numbers of the memory, in both halves. */
// @ts-ignore: decorator
@inline
export function pair(address: usize): v128 {
  return v128.load64_splat(address);
}

// @ts-ignore: decorator
@inline
export function doubled(x: v128): v128 {
  return v128.shuffle<i64>(x, x, 0, 0);
}

// @ts-ignore: decorator
@inline
export function upper(x: v128): v128 {
  return v128.shuffle<i64>(x, x, 1, 1);
}

/** The second half of `a` and the first of `b`. */
// @ts-ignore: decorator
@inline
export function between(a: v128, b: v128): v128 {
  return v128.shuffle<i64>(a, b, 1, 2);
}

/** A double-precision pair as a single-precision one, in both halves. */
// @ts-ignore: decorator
@inline
export function narrow(x: v128): v128 {
  return doubled(f32x4.demote_f64x2_zero(x));
}

/** Frames 0 and 1 of what a drive makes of a voltage; `taps`: its coefficients. */
// @ts-ignore: decorator
@inline
export function early(x0: v128, before0: v128, taps: usize): v128 {
  return madd(x0, co(taps), f32x4.mul(before0, co(taps + 1)));
}

/** Frames 2 and 3. */
// @ts-ignore: decorator
@inline
export function late(x0: v128, before0: v128, x1: v128, before1: v128, taps: usize): v128 {
  const own = madd(x1, co(taps), f32x4.mul(before1, co(taps + 1)));
  return f32x4.add(own, madd(x0, co(taps + 2), f32x4.mul(before0, co(taps + 3))));
}

/** What z makes of a voltage, frames 0 and 1 or, two rows further, 2 and 3. */
// @ts-ignore: decorator
@inline
export function ofState(z0: v128, z1: v128, z2: v128, n: usize): v128 {
  return madd(z2, both(n + 16), madd(z1, both(n + 8), f32x4.mul(z0, both(n))));
}

/** What four frames of a drive add to a number of z, left and right, in both halves. */
// @ts-ignore: decorator
@inline
export function gathered(x0: v128, x1: v128, n: usize): v128 {
  const sum = madd(x1, both(n + 4), f32x4.mul(x0, both(n)));
  return f32x4.add(sum, v128.shuffle<i64>(sum, sum, 1, 0));
}

// @ts-ignore: decorator
@inline
function times(x: v128, address: usize): v128 {
  return f64x2.mul(x, v128.load64_splat(address));
}

/** A number in double precision times coefficient `n`. */
// @ts-ignore: decorator
@inline
export function scaled(z: v128, n: usize): v128 {
  return times(z, wide + (n << 3));
}

/** Number `n` of z after four frames, but for what drives it. */
// @ts-ignore: decorator
@inline
export function carriedOn(z0: v128, z1: v128, z2: v128, next: usize, n: usize): v128 {
  const row = wide + ((next + 3 * n) << 3);
  return f64x2.add(times(z0, row), f64x2.add(times(z1, row + 8), times(z2, row + 16)));
}

/** Takes coefficients on their way from `c0` to `c1`. */
export function blend(c0: usize, c1: usize, t: f32): void {
  const share = f64x2.splat(<f64>t);
  for (let n: usize = 0; n < WIDE; n += 16) {
    const from = v128.load(c0 + n);
    v128.store(wide + n, f64x2.add(from, f64x2.mul(share, f64x2.sub(v128.load(c1 + n), from))));
  }
  for (let n: usize = WIDE; n < (WIDE * 3) / 2; n += 16) {
    const from = v128.load(c0 + n);
    v128.store(wide + n, madd(f32x4.sub(v128.load(c1 + n), from), k(t), from));
  }
}

/** Nothing where it is so little that it would become denormal on its way to nothing. */
// @ts-ignore: decorator
@inline
export function settled(z: v128): v128 {
  return v128.and(z, f64x2.gt(f64x2.abs(z), f64x2.splat(1e-18)));
}
