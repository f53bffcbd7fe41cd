/**
 * Shaping of curves with corners (the algebraic knee at 0 and ±1, the hard clip at ±1) without the aliases that plain
 * sampling of a corner makes.
 *
 * The signal between two samples is taken as the cubic through the four nearest (Lagrange). The curve is evaluated on
 * it at Gauss-Legendre nodes, and each output is the integral over time against the same cubic's weights, i.e. the
 * adjoint of the interpolation: a low-pass of the continuous-time result whose response has zeros of fourth order at
 * every multiple of the rate and is flat to third order at DC. Where a segment crosses a corner, the integral is split
 * at the crossing, so that every piece is smooth. It is antiderivative antialiasing with the integral taken
 * numerically, so it has neither its cancellation in single precision nor its half-sample delay: the delay is exactly
 * three samples, and the straight line is not touched at all, because only what the curve adds goes through here.
 */
import { k, madd } from './math';
import { ALGEBRAIC, difference, HARD, ONE, shape, shapeMoving } from './shape';

/** Frames of delay. */
export const LOOKAHEAD: i32 = 3;

// Lagrange weights at the two-point Gauss node t = ½ − ½/√3 for the samples at −1, 0, 1, 2; reversed at 1 − t.
const W0: f32 = -0.04968542040541147;
const W1: f32 = 0.8543980624777139;
const W2: f32 = 0.22893527085561935;
const W3: f32 = -0.03364791292792186;

// History of a stage, in frames of 8 bytes: three of the input, of both node values and of the corrections.
const INPUT: usize = 0;
const NODE_A: usize = 24;
const NODE_B: usize = 48;
const CARRY: usize = 72;

const PAD: i32 = 64;
const SIZE: i32 = 1024 * 8 + PAD;
const input = memory.data(SIZE, 16);
const pointsA = memory.data(SIZE, 16);
const pointsB = memory.data(SIZE, 16);
const nodesA = memory.data(SIZE, 16);
const nodesB = memory.data(SIZE, 16);
const corrections = memory.data(SIZE, 16);
const spare = memory.data(SIZE, 16);

/**
 * Replaces `frames` frames at `buffer` by what the curve adds, three frames late. `history`: 96 bytes that are zero at
 * the start. Coefficients move from `c0` to `c1` when `moving` is set.
 */
export function shapeCorners(kernel: i32, buffer: usize, frames: i32, c0: usize, c1: usize, moving: i32, history: usize): void {
  const bytes = (<usize>frames) << 3;
  memory.copy(input, history + INPUT, 24);
  memory.copy(input + 24, buffer, bytes);
  memory.copy(nodesA, history + NODE_A, 24);
  memory.copy(nodesB, history + NODE_B, 24);
  memory.fill(corrections, 0, bytes + 32);
  memory.copy(corrections, history + CARRY, 24);

  for (let i: usize = 0; i < bytes; i += 16) {
    const a = v128.load(input + i);
    const b = v128.load(input + i, 8);
    const c = v128.load(input + i, 16);
    const d = v128.load(input + i, 24);
    v128.store(pointsA + i, madd(a, k(W0), madd(b, k(W1), madd(c, k(W2), f32x4.mul(d, k(W3))))));
    v128.store(pointsB + i, madd(a, k(W3), madd(b, k(W2), madd(c, k(W1), f32x4.mul(d, k(W0))))));
  }
  if (moving) {
    shapeMoving(kernel, pointsA, nodesA + 24, spare, frames, c0, c1);
    shapeMoving(kernel, pointsB, nodesB + 24, spare, frames, c0, c1);
  } else {
    shape(kernel, pointsA, nodesA + 24, frames, c1);
    shape(kernel, pointsB, nodesB + 24, frames, c1);
  }
  splitCrossings(kernel, frames, c1);

  for (let i: usize = 0; i < bytes; i += 16) {
    let sum = f32x4.mul(v128.load(nodesA + i), k(0.5 * W3));
    sum = madd(v128.load(nodesA + i, 8), k(0.5 * W2), sum);
    sum = madd(v128.load(nodesA + i, 16), k(0.5 * W1), sum);
    sum = madd(v128.load(nodesA + i, 24), k(0.5 * W0), sum);
    sum = madd(v128.load(nodesB + i), k(0.5 * W0), sum);
    sum = madd(v128.load(nodesB + i, 8), k(0.5 * W1), sum);
    sum = madd(v128.load(nodesB + i, 16), k(0.5 * W2), sum);
    sum = madd(v128.load(nodesB + i, 24), k(0.5 * W3), sum);
    v128.store(buffer + i, f32x4.add(sum, v128.load(corrections + i)));
  }
  memory.copy(history + INPUT, input + bytes, 24);
  memory.copy(history + NODE_A, nodesA + bytes, 24);
  memory.copy(history + NODE_B, nodesB + bytes, 24);
  memory.copy(history + CARRY, corrections + bytes, 24);
}

/** All ones in the lanes whose segment from `p` to `q` crosses `corner`. */
// @ts-ignore: decorator
@inline
function crosses(p: v128, q: v128, corner: f32): v128 {
  const c = k(corner);
  return i32x4.shr_s(v128.xor(f32x4.sub(p, c), f32x4.sub(q, c)), 31);
}

/** Takes the plain nodes of crossing segments away and puts split integrals into `corrections`. */
function splitCrossings(kernel: i32, frames: i32, c: usize): void {
  const bias = load<f32>(c);
  const centre: f32 = -bias;
  const upper: f32 = 1 - bias;
  const lower: f32 = -1 - bias;
  const bytes = (<usize>frames) << 3;
  for (let i: usize = 0; i < bytes; i += 16) {
    const p = v128.load(input + i, 8);
    const q = v128.load(input + i, 16);
    let mask: v128;
    if (kernel == HARD) mask = v128.or(crosses(p, q, upper), crosses(p, q, lower));
    else if (kernel == ONE) mask = crosses(p, q, centre);
    else mask = v128.or(crosses(p, q, centre), v128.or(crosses(p, q, upper), crosses(p, q, lower)));
    if (!v128.any_true(mask)) continue;
    v128.store(nodesA + i, v128.andnot(v128.load(nodesA + i, 24), mask), 24);
    v128.store(nodesB + i, v128.andnot(v128.load(nodesB + i, 24), mask), 24);
    let lanes = i32x4.bitmask(mask);
    for (let at = i; lanes != 0; at += 4, lanes >>= 1) {
      if ((lanes & 1) == 0) continue;
      splitSegment(kernel, at, load<f32>(input + at, 8), load<f32>(input + at, 16), lower, centre, upper, c);
    }
  }
}

/** Integrates one channel's segment piece by piece between its crossings, in the order the signal meets them. */
function splitSegment(kernel: i32, at: usize, from: f32, to: f32, lower: f32, centre: f32, upper: f32, c: usize): void {
  const before = load<f32>(input + at);
  const after = load<f32>(input + at, 24);
  const a1: f32 = <f32>(-1.0 / 3.0) * before - <f32>0.5 * from + to - <f32>(1.0 / 6.0) * after;
  const a2: f32 = <f32>0.5 * (before + to) - from;
  const a3: f32 = <f32>(1.0 / 6.0) * (after - before) + <f32>0.5 * (from - to);
  let start: f32 = 0;
  const rising = to > from;
  for (let n = 0; n < 3; n++) {
    const corner = n == 1 ? centre : (n == 0) == rising ? lower : upper;
    if (n == 1 ? kernel == HARD : kernel == ONE) continue;
    if (from < corner == to < corner) continue;
    let t: f32 = (corner - from) / (to - from);
    for (let step = 0; step < 3; step++) {
      const value = from + t * (a1 + t * (a2 + t * a3)) - corner;
      const slope = a1 + t * (<f32>2 * a2 + t * <f32>3 * a3);
      if (slope * (to - from) <= 0) break;
      t = <f32>Math.min(1, Math.max(0, t - value / slope));
    }
    if (t > start) {
      integrate(kernel, at, from, a1, a2, a3, start, t, c);
      start = t;
    }
  }
  if (start < 1) integrate(kernel, at, from, a1, a2, a3, start, 1, c);
}

/** Four-point Gauss-Legendre over [start, end] of one segment, added to the four outputs it reaches. */
function integrate(kernel: i32, at: usize, a0: f32, a1: f32, a2: f32, a3: f32, start: f32, end: f32, c: usize): void {
  const span = end - start;
  const t = madd(f32x4(0.0694318442, 0.3300094782, 0.6699905218, 0.9305681558), k(span), k(start));
  const u = madd(t, madd(t, madd(t, k(a3), k(a2)), k(a1)), k(a0));
  const power = v128.load32_splat(c, 4);
  const inverse = v128.load32_splat(c, 8);
  const bias = v128.load32_splat(c, 0);
  const steep = v128.load32_splat(c, 12);
  let d: v128;
  let still: v128;
  if (kernel == HARD) {
    d = difference(HARD, f32x4.add(u, bias), power, inverse);
    still = difference(HARD, bias, power, inverse);
  } else if (kernel == ONE) {
    d = difference(ONE, f32x4.add(u, bias), power, inverse);
    still = difference(ONE, bias, power, inverse);
  } else {
    d = difference(ALGEBRAIC, f32x4.add(u, bias), power, inverse);
    still = difference(ALGEBRAIC, bias, power, inverse);
  }
  const value = madd(f32x4.sub(d, still), steep, f32x4.mul(u, f32x4.sub(steep, k(1))));
  const weighted = f32x4.mul(
    f32x4.mul(value, k(span)),
    f32x4(0.1739274226, 0.3260725774, 0.3260725774, 0.1739274226),
  );
  const minus = f32x4.sub(t, k(1));
  const minus2 = f32x4.sub(t, k(2));
  const plus = f32x4.add(t, k(1));
  const inner = f32x4.mul(weighted, f32x4.mul(minus, minus2));
  const outer = f32x4.mul(weighted, f32x4.mul(plus, t));
  add(at, f32x4.mul(f32x4.mul(inner, t), k(-1.0 / 6.0)));
  add(at + 8, f32x4.mul(f32x4.mul(inner, plus), k(0.5)));
  add(at + 16, f32x4.mul(f32x4.mul(outer, minus2), k(-0.5)));
  add(at + 24, f32x4.mul(f32x4.mul(outer, minus), k(1.0 / 6.0)));
}

// @ts-ignore: decorator
@inline
function add(at: usize, lanes: v128): void {
  const sum =
    f32x4.extract_lane(lanes, 0) +
    f32x4.extract_lane(lanes, 1) +
    f32x4.extract_lane(lanes, 2) +
    f32x4.extract_lane(lanes, 3);
  store<f32>(corrections + at, load<f32>(corrections + at) + sum);
}
