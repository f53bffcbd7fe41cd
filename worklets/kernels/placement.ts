/** Where a stage colours: what of the signal its circuit is given, a part of the stereo field and a band. */
import { absolute, k } from './math';
import { flushed } from './stage';

/**
 * Two channels out of two, in place: left = ll·left + lr·right, right = rl·left + rr·right. All four gains move linearly
 * over the pass; an even number of frames.
 */
export function crossMix(
  buffer: usize,
  frames: i32,
  ll0: f32,
  ll1: f32,
  lr0: f32,
  lr1: f32,
  rl0: f32,
  rl1: f32,
  rr0: f32,
  rr1: f32,
): void {
  const end = buffer + ((<usize>frames) << 3);
  const n: f32 = 1 / <f32>frames;
  const dll: f32 = (ll1 - ll0) * n;
  const dlr: f32 = (lr1 - lr0) * n;
  const drl: f32 = (rl1 - rl0) * n;
  const drr: f32 = (rr1 - rr0) * n;
  let own = f32x4(ll0, rr0, ll0 + dll, rr0 + drr);
  let other = f32x4(lr0, rl0, lr0 + dlr, rl0 + drl);
  const ownStep = f32x4(2 * dll, 2 * drr, 2 * dll, 2 * drr);
  const otherStep = f32x4(2 * dlr, 2 * drl, 2 * dlr, 2 * drl);
  for (let i = buffer; i < end; i += 16) {
    const x = v128.load(i);
    const crossed = v128.shuffle<f32>(x, x, 1, 0, 3, 2);
    v128.store(i, f32x4.add(f32x4.mul(own, x), f32x4.mul(other, crossed)));
    own = f32x4.add(own, ownStep);
    other = f32x4.add(other, otherStep);
  }
}

/** 1/Q of a Butterworth filter of second order. */
const DAMPING: f64 = 1.4142135623730951;

/**
 * Share `mix` of the buffer becomes what lies between two edges: a high-pass and a low-pass of second order (12 dB an
 * octave, −3 dB at the edge), each a trapezoidal state-variable filter with g = tan(π·f/rate) in double precision
 * (64 bytes at `state`). Edges and mix move linearly over the pass. As in `preGain`, what is 180 dB below the knee
 * becomes 0, so that a tail never gives the curve denormals.
 */
export function bandPass(
  buffer: usize,
  frames: i32,
  low0: f64,
  low1: f64,
  high0: f64,
  high1: f64,
  mix0: f64,
  mix1: f64,
  state: usize,
): void {
  const end = buffer + ((<usize>frames) << 3);
  const n: f64 = 1 / <f64>frames;
  const still = low0 == low1 && high0 == high1;
  const dl = (low1 - low0) * n;
  const dh = (high1 - high0) * n;
  const dm = (mix1 - mix0) * n;
  const damping = f64x2.splat(DAMPING);
  let l1 = f64x2.splat(1 / (1 + low0 * (low0 + DAMPING)));
  let l2 = f64x2.mul(l1, f64x2.splat(low0));
  let l3 = f64x2.mul(l2, f64x2.splat(low0));
  let h1 = f64x2.splat(1 / (1 + high0 * (high0 + DAMPING)));
  let h2 = f64x2.mul(h1, f64x2.splat(high0));
  let h3 = f64x2.mul(h2, f64x2.splat(high0));
  let la = v128.load(state);
  let lb = v128.load(state, 16);
  let ha = v128.load(state, 32);
  let hb = v128.load(state, 48);
  for (let i = buffer; i < end; i += 8) {
    const x = f64x2.promote_low_f32x4(v128.load64_zero(i));
    let e = f64x2.sub(x, lb);
    let v1 = f64x2.add(f64x2.mul(l1, la), f64x2.mul(l2, e));
    let v2 = f64x2.add(lb, f64x2.add(f64x2.mul(l2, la), f64x2.mul(l3, e)));
    la = f64x2.sub(f64x2.add(v1, v1), la);
    lb = f64x2.sub(f64x2.add(v2, v2), lb);
    const above = f64x2.sub(x, f64x2.add(f64x2.mul(damping, v1), v2));
    e = f64x2.sub(above, hb);
    v1 = f64x2.add(f64x2.mul(h1, ha), f64x2.mul(h2, e));
    v2 = f64x2.add(hb, f64x2.add(f64x2.mul(h2, ha), f64x2.mul(h3, e)));
    ha = f64x2.sub(f64x2.add(v1, v1), ha);
    hb = f64x2.sub(f64x2.add(v2, v2), hb);
    const y = f32x4.demote_f64x2_zero(f64x2.add(x, f64x2.mul(f64x2.splat(mix0), f64x2.sub(v2, x))));
    v128.store64_lane(i, v128.and(y, f32x4.gt(absolute(y), k(1e-9))), 0);
    if (!still) {
      low0 += dl;
      high0 += dh;
      l1 = f64x2.splat(1 / (1 + low0 * (low0 + DAMPING)));
      l2 = f64x2.mul(l1, f64x2.splat(low0));
      l3 = f64x2.mul(l2, f64x2.splat(low0));
      h1 = f64x2.splat(1 / (1 + high0 * (high0 + DAMPING)));
      h2 = f64x2.mul(h1, f64x2.splat(high0));
      h3 = f64x2.mul(h2, f64x2.splat(high0));
    }
    mix0 += dm;
  }
  v128.store(state, flushed(la));
  v128.store(state, flushed(lb), 16);
  v128.store(state, flushed(ha), 32);
  v128.store(state, flushed(hb), 48);
}
