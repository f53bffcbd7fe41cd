/** What surrounds a stage's curve: trims, emphasis, AC coupling, and adding the result to the signal. */
import { absolute, held, k, madd } from './math';

/**
 * target = source·gain, gain moving from g0 to g1. What is 180 dB below the knee becomes 0 to the curve:
 * behind the filters its cube would be a denormal number, which WebAssembly computes slowly and never flushes. What is
 * 240 dB above is limited, since the square of it overflows in some curves.
 */
export function preGain(source: usize, target: usize, frames: i32, g0: f32, g1: f32): void {
  const bytes = (<usize>frames) << 3;
  const step: f32 = (g1 - g0) / <f32>frames;
  const most = held(k(1e12), 0);
  const least = held(k(-1e12), 1);
  const floor = held(k(1e-9), 2);
  let gain = held(f32x4(g0, g0, g0 + step, g0 + step), 3);
  if (step == 0) {
    for (let i: usize = 0; i < bytes; i += 16) {
      const u = f32x4.pmin(f32x4.pmax(f32x4.mul(v128.load(source + i), gain), least), most);
      v128.store(target + i, v128.and(u, f32x4.gt(absolute(u), floor)));
    }
    return;
  }
  const twice = held(k(2 * step), 4);
  for (let i: usize = 0; i < bytes; i += 16) {
    const u = f32x4.pmin(f32x4.pmax(f32x4.mul(v128.load(source + i), gain), least), most);
    v128.store(target + i, v128.and(u, f32x4.gt(absolute(u), floor)));
    gain = f32x4.add(gain, twice);
  }
}

/**
 * First-order tilt in place, one double-precision state per channel (16 bytes at `state`): y = hi·x + (lo − hi)·lp(x),
 * lp a trapezoidal one-pole with a = g/(1 + g). The inverse filter has lo and hi exchanged and the corner moved, so that
 * the two cancel exactly. All three coefficients move linearly over the pass.
 */
export function tilt(
  buffer: usize,
  frames: i32,
  state: usize,
  a0: f64,
  a1: f64,
  lo0: f64,
  lo1: f64,
  hi0: f64,
  hi1: f64,
): void {
  const end = buffer + ((<usize>frames) << 3);
  const n: f64 = 1 / <f64>frames;
  const da = (a1 - a0) * n;
  const dlo = (lo1 - lo0) * n;
  const dhi = (hi1 - hi0) * n;
  let s = v128.load(state);
  for (let i = buffer; i < end; i += 8) {
    const x = f64x2.promote_low_f32x4(v128.load64_zero(i));
    const v = f64x2.mul(f64x2.sub(x, s), f64x2.splat(a0));
    const low = f64x2.add(v, s);
    s = f64x2.add(low, v);
    const y = f64x2.add(f64x2.mul(f64x2.splat(hi0), x), f64x2.mul(f64x2.splat(lo0 - hi0), low));
    v128.store64_lane(i, f32x4.demote_f64x2_zero(y), 0);
    a0 += da;
    lo0 += dlo;
    hi0 += dhi;
  }
  v128.store(state, flushed(s));
}

/** Zero where the magnitude is below 1e-30, so that a decaying state never becomes denormal. */
// @ts-ignore: decorator
@inline
export function flushed(s: v128): v128 {
  return v128.and(s, f64x2.gt(f64x2.abs(s), f64x2.splat(1e-30)));
}

/**
 * Adds what the curve made (`added`, times `post`) to the signal and to the running difference:
 * e = on·(post·added − coupling·lowpass(post·added));  signal = g·signal + e;  difference = g·difference + e.
 * The switch comes after the low-pass, so that its slow state isn't left over as a step when the stage goes off.
 * The low-pass is one pole in double precision (16 bytes at `state`), m += pole·(e − m), computed two frames at once.
 */
export function addStage(
  signal: usize,
  difference: usize,
  added: usize,
  frames: i32,
  g0: f32,
  g1: f32,
  post0: f32,
  post1: f32,
  coupling0: f32,
  coupling1: f32,
  on0: f32,
  on1: f32,
  pole: f64,
  state: usize,
): void {
  const bytes = (<usize>frames) << 3;
  const n: f32 = 1 / <f32>frames;
  const dg: f32 = (g1 - g0) * n;
  const dp: f32 = (post1 - post0) * n;
  const dc: f32 = (coupling1 - coupling0) * n;
  let g = f32x4(g0, g0, g0 + dg, g0 + dg);
  let post = f32x4(post0, post0, post0 + dp, post0 + dp);
  let coupling = f32x4(coupling0, coupling0, coupling0 + dc, coupling0 + dc);
  const don: f32 = (on1 - on0) * n;
  let on = f32x4(on0, on0, on0 + don, on0 + don);
  const onStep = k(2 * don);
  const gStep = k(2 * dg);
  const postStep = k(2 * dp);
  const couplingStep = k(2 * dc);
  const keep = f64x2.splat(1 - pole);
  const keep2 = f64x2.splat((1 - pole) * (1 - pole));
  const take = f64x2.splat(pole);
  let m = v128.load(state);
  for (let i: usize = 0; i < bytes; i += 16) {
    const e = f32x4.mul(v128.load(added + i), post);
    const first = f64x2.mul(take, f64x2.promote_low_f32x4(e));
    const second = f64x2.mul(take, f64x2.promote_low_f32x4(v128.shuffle<i64>(e, e, 1, 1)));
    const m1 = f64x2.add(f64x2.mul(keep, m), first);
    const m2 = f64x2.add(f64x2.mul(keep2, m), f64x2.add(f64x2.mul(keep, first), second));
    m = m2;
    let low = v128.shuffle<i64>(f32x4.demote_f64x2_zero(m1), f32x4.demote_f64x2_zero(m2), 0, 2);
    // The state is flushed at the end of a pass, wherever that is, so what it holds near there must not be heard.
    low = v128.and(low, f32x4.gt(absolute(low), k(1e-25)));
    const c = f32x4.mul(on, f32x4.sub(e, f32x4.mul(coupling, low)));
    v128.store(signal + i, madd(g, v128.load(signal + i), c));
    v128.store(difference + i, madd(g, v128.load(difference + i), c));
    g = f32x4.add(g, gStep);
    post = f32x4.add(post, postStep);
    coupling = f32x4.add(coupling, couplingStep);
    on = f32x4.add(on, onStep);
  }
  v128.store(state, flushed(m));
}
