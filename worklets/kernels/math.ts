/**
 * Short names for four lanes, for the passes that know no other width (lanes.ts is for those that do).
 */

// @ts-ignore: decorator
@inline
export function absolute(x: v128): v128 {
  return f32x4.abs(x);
}

/** a·b + c in two roundings: the same on every host. */
// @ts-ignore: decorator
@inline
export function madd(a: v128, b: v128, c: v128): v128 {
  return f32x4.add(f32x4.mul(a, b), c);
}

/** The same number in all lanes. */
// @ts-ignore: decorator
@inline
export function k(value: f32): v128 {
  return f32x4.splat(value);
}

const slots = memory.data(16 * 16, 16);

/**
 * `x`, by way of memory. V8 computes a vector that a loop only reads anew in every pass, lane by lane, instead of before
 * the loop; what was loaded it keeps. It halves the time of the passes in stage.ts. Slots are 0 to 15, one each in a
 * function.
 */
// @ts-ignore: decorator
@inline
export function held(x: v128, slot: usize): v128 {
  v128.store(slots + (slot << 4), x);
  return v128.load(slots + (slot << 4));
}
