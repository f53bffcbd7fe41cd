/** `addStage` (stage.ts) for the usual case that nothing moves. */
import { absolute, held, k, madd } from './math';
import { flushed } from './stage';

/**
 * e = post·added;  m += pole·(e − m);  c = e − coupling·m;  signal = g·signal + c;  difference = g·difference + c.
 * `frames` is a multiple of 4; `state` 16 bytes.
 *
 * Four frames at once. The low-pass is a recursion; written out, m₄ = k⁴·m + k³p·e₁ + k²p·e₂ + kp·e₃ + p·e₄ with p the
 * pole and k = 1 − p, its chain is a multiplication and an addition for all four. Only that sum is kept in double
 * precision, which a pole of 6e-5 needs; what a frame takes from it is single.
 */
export function addStill(
  signal: usize,
  difference: usize,
  added: usize,
  frames: i32,
  g: f32,
  post: f32,
  coupling: f32,
  pole: f64,
  state: usize,
): void {
  const bytes = (<usize>frames) << 3;
  const keep = 1 - pole;
  const p = <f32>pole;
  const k1 = <f32>keep;
  const k2 = <f32>(keep * keep);
  const k3 = <f32>(keep * keep * keep);
  const k4 = <f32>(keep * keep * keep * keep);
  // Times `coupling`: what a frame takes of m, of itself and of the frame before it in its vector.
  const first = held(f32x4(coupling * k1, coupling * k1, coupling * k2, coupling * k2), 0);
  const second = held(f32x4(coupling * k3, coupling * k3, coupling * k4, coupling * k4), 1);
  const own = held(f32x4.splat(post * (1 - coupling * p)), 2);
  const previous = held(f32x4(0, 0, post * coupling * k1 * p, post * coupling * k1 * p), 3);
  const into = held(f32x4(post * k1 * p, post * k1 * p, post * p, post * p), 4);
  const twoOn = held(f32x4.splat(k2), 5);
  const fourOn = held(f64x2.splat(keep * keep * keep * keep), 6);
  const linear = held(f32x4.splat(g), 7);
  let m = v128.load(state);
  for (let i: usize = 0; i < bytes; i += 32) {
    const e0 = v128.load(added + i);
    const e1 = v128.load(added + i, 16);
    const before = audible(m);
    const sum0 = bothFrames(f32x4.mul(e0, into));
    const sum1 = bothFrames(f32x4.mul(e1, into));
    m = f64x2.add(f64x2.mul(fourOn, m), f64x2.promote_low_f32x4(madd(sum0, twoOn, sum1)));
    const low0 = madd(before, first, f32x4.mul(v128.shuffle<i64>(e0, e0, 0, 0), previous));
    const low1 = madd(before, second, madd(sum0, first, f32x4.mul(v128.shuffle<i64>(e1, e1, 0, 0), previous)));
    const c0 = f32x4.sub(f32x4.mul(e0, own), low0);
    const c1 = f32x4.sub(f32x4.mul(e1, own), low1);
    v128.store(signal + i, madd(linear, v128.load(signal + i), c0));
    v128.store(signal + i, madd(linear, v128.load(signal + i, 16), c1), 16);
    v128.store(difference + i, madd(linear, v128.load(difference + i), c0));
    v128.store(difference + i, madd(linear, v128.load(difference + i, 16), c1), 16);
  }
  v128.store(state, flushed(m));
}

/** The sum of a vector's two frames, in both. */
// @ts-ignore: decorator
@inline
function bothFrames(x: v128): v128 {
  return f32x4.add(x, v128.shuffle<i64>(x, x, 1, 0));
}

/** The low-pass in single precision, in both frames; what a flush may take away is not heard. */
// @ts-ignore: decorator
@inline
function audible(m: v128): v128 {
  const low = f32x4.demote_f64x2_zero(m);
  const both = v128.shuffle<i64>(low, low, 0, 0);
  return v128.and(both, f32x4.gt(absolute(both), k(1e-25)));
}
