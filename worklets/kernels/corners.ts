/**
 * Shaping of curves that bend faster than plain sampling can follow: corners (the algebraic knee at 0, the hard clip at
 * ±1) and, where a curve is driven hard, any bend. Wherever nothing of that kind happens the curve is sampled as it is;
 * around it the samples are integrals over time.
 *
 * Between two samples the signal is the quintic through the six nearest; the curve is evaluated on it at three
 * Gauss-Legendre nodes; each output is the integral against a cubic B-spline, whose zeros of fourth order at every
 * multiple of the rate take away what would fold. Segments in which the signal passes a corner are integrated piece by
 * piece (corner-segments.ts). It is antiderivative antialiasing with the integral taken numerically: no cancellation in
 * single precision, no half-sample delay, and the straight line isn't touched, because only what the curve adds goes
 * through here. Five taps make up for the spline's droop up to the fourth order in frequency, so that integrals and plain samples
 * meet without a seam: they are 3e-7 apart for 10 kHz at 353 kHz, 2e-5 for 20 kHz.
 */
import { begin, clearCorrections, correctionsAt, isSplit, splitSegment, splits, sumPieces, touches } from './corner-segments';
import { constants } from './interpolation';
import { held, k, madd } from './math';
import { shape } from './dispatch.generated';

/** Frames of delay: two of the quintic, two of the spline, two of the five taps. */
const LOOKAHEAD: usize = 6;
const PAST: usize = 2 * LOOKAHEAD;
/** Bytes of history: the frames before a pass. */
const CORNER_HISTORY: i32 = 96;

// Cubic B-spline at the nodes times the Gauss weights 5/18, 8/18, 5/18: for the outputs at −1, 0, 1, 2.
const S0: f32 = 0.0323411343;
const S1: f32 = 0.181855764;
const S2: f32 = 0.0635146063;
const S3: f32 = 6.62730945e-5;
const T0: f32 = 0.00925925926;
const T1: f32 = 0.212962963;

const SIZE: i32 = 1024 * 8 + 256;
const input = memory.data(SIZE, 16);
const before = memory.data(SIZE, 16);
const flags = memory.data(SIZE, 16);
/** Most outputs that are integrated at once, in pairs of frames; small enough for the nearest cache. */
const RUN: usize = 32;
const RUN_BYTES: i32 = 32 * 16 + 256;
const pointsA = memory.data(RUN_BYTES, 16);
const pointsB = memory.data(RUN_BYTES, 16);
const pointsC = memory.data(RUN_BYTES, 16);
const nodesA = memory.data(RUN_BYTES, 16);
const nodesB = memory.data(RUN_BYTES, 16);
const nodesC = memory.data(RUN_BYTES, 16);
const splined = memory.data(RUN_BYTES, 16);

/**
 * Replaces `frames` frames at `buffer` by what the curve adds, `LOOKAHEAD` frames late. `history`: CORNER_HISTORY bytes,
 * zero at the start. While `moving` is set the result goes from that of `c0` to that of `c1`.
 */
export function shapeCorners(kernel: i32, buffer: usize, frames: i32, c0: usize, c1: usize, moving: i32, history: usize): void {
  const bytes = (<usize>frames) << 3;
  memory.copy(input, history, PAST << 3);
  memory.copy(input + (PAST << 3), buffer, bytes);
  shapeWindow(kernel, buffer, bytes, c1);
  if (moving) {
    shapeWindow(kernel, before, bytes, c0);
    const step: f32 = 1 / <f32>frames;
    let t = f32x4(0, 0, step, step);
    for (let i: usize = 0; i < bytes; i += 16) {
      const a = v128.load(before + i);
      v128.store(buffer + i, madd(f32x4.sub(v128.load(buffer + i), a), t, a));
      t = f32x4.add(t, k(2 * step));
    }
  }
  memory.copy(history, input + bytes, PAST << 3);
}

/** What the curve adds to the window `input`, with one set of coefficients. */
function shapeWindow(kernel: i32, target: usize, bytes: usize, c: usize): void {
  shape(kernel, input + (LOOKAHEAD << 3), target, <i32>(bytes >> 3), c);
  begin(kernel, c);
  if (!flag(bytes + 64)) return;
  // An output is integrated where one of the nine segments around it is flagged, side by side for left and right.
  let from: usize = 0;
  while (from < bytes) {
    if (!v128.any_true(around(from))) {
      from += 16;
      continue;
    }
    let to = from + 16;
    while (to < bytes && to - from < RUN << 4 && v128.any_true(around(to))) to += 16;
    integrate(kernel, target, from, to, c);
    from = to;
  }
}

// @ts-ignore: decorator
@inline
function around(at: usize): v128 {
  const near = v128.or(v128.load(flags + at), v128.load(flags + at, 16));
  const far = v128.or(v128.load(flags + at, 32), v128.load(flags + at, 48));
  return v128.or(v128.or(near, far), v128.load(flags + at, 64));
}

/** Flags pairs of segments from the third frame of the window on, each side by itself; true when there is any. */
function flag(bytes: usize): bool {
  let any = k(0);
  for (let i: usize = 0; i < bytes; i += 16) {
    const mask = touches(v128.load(input + i, 16), v128.load(input + i, 24));
    const both = v128.or(mask, v128.shuffle<i64>(mask, mask, 1, 0));
    v128.store(flags + i, both);
    any = v128.or(any, both);
  }
  return v128.any_true(any);
}

/** Replaces the outputs from byte `from` to `to` by integrals, where they are flagged. */
function integrate(kernel: i32, target: usize, from: usize, to: usize, c: usize): void {
  // The first segment that reaches the first output starts at the third frame from there; eight more follow the last.
  const span = to - from + 64;
  interpolate(input + from, span);
  const frames = <i32>(span >> 3);
  shape(kernel, pointsA, nodesA, frames, c);
  shape(kernel, pointsB, nodesB, frames, c);
  shape(kernel, pointsC, nodesC, frames, c);
  splitSegments(kernel, input + from, span, c);
  weigh(span - 32);
  const far = constants(9);
  const near = constants(10);
  const centre = constants(11);
  for (let i: usize = 0; i < to - from; i += 16) {
    const at = splined + i;
    let sum = f32x4.mul(f32x4.add(v128.load(at), v128.load(at, 32)), far);
    sum = madd(f32x4.add(v128.load(at, 8), v128.load(at, 24)), near, sum);
    sum = madd(v128.load(at, 16), centre, sum);
    const to = target + from + i;
    v128.store(to, v128.bitselect(sum, v128.load(to), around(from + i)));
  }
}

/** The quintic at the three nodes of every segment from the third frame at `at` on. */
function interpolate(at: usize, bytes: usize): void {
  const w0 = constants(0);
  const w1 = constants(1);
  const w2 = constants(2);
  const w3 = constants(3);
  const w4 = constants(4);
  const w5 = constants(5);
  const m0 = constants(6);
  const m1 = constants(7);
  const m2 = constants(8);
  for (let i: usize = 0; i < bytes; i += 16) {
    const a = v128.load(at + i);
    const b = v128.load(at + i, 8);
    const c = v128.load(at + i, 16);
    const d = v128.load(at + i, 24);
    const e = v128.load(at + i, 32);
    const f = v128.load(at + i, 40);
    v128.store(pointsA + i, madd(a, w0, madd(b, w1, madd(c, w2, madd(d, w3, madd(e, w4, f32x4.mul(f, w5)))))));
    const outer = madd(f32x4.add(a, f), m0, f32x4.mul(f32x4.add(b, e), m1));
    v128.store(pointsB + i, madd(f32x4.add(c, d), m2, outer));
    v128.store(pointsC + i, madd(a, w5, madd(b, w4, madd(c, w3, madd(d, w2, madd(e, w1, f32x4.mul(f, w0)))))));
  }
}

/** Takes the nodes of segments that touch a corner away and has them integrated piece by piece. `at`: two frames before. */
function splitSegments(kernel: i32, at: usize, bytes: usize, c: usize): void {
  clearCorrections(bytes);
  // The last segment is one too many, for an even number.
  for (let i: usize = 0; i < bytes; i += 16) {
    const mask = splits(v128.load(at + i, 16), v128.load(at + i, 24));
    if (!v128.any_true(mask)) continue;
    let lanes = i32x4.bitmask(mask);
    for (let lane: usize = 0; lanes != 0; lane++, lanes >>= 1) {
      const to = i + (lane << 2);
      if (!(lanes & 1) || !splitSegment(kernel, at + to, <i32>(lane & 1), (i >> 3) + (lane >> 1), c)) continue;
      store<f32>(nodesA + to, 0);
      store<f32>(nodesB + to, 0);
      store<f32>(nodesC + to, 0);
    }
  }
  if (isSplit) sumPieces(kernel, c);
}

/** The splined outputs from the third frame of the segments on: every node's value times the spline, plus the split ones. */
function weigh(bytes: usize): void {
  const s0 = held(k(S0), 0);
  const s1 = held(k(S1), 1);
  const s2 = held(k(S2), 2);
  const s3 = held(k(S3), 3);
  const t0 = held(k(T0), 4);
  const t1 = held(k(T1), 5);
  for (let i: usize = 0; i < bytes; i += 16) {
    const a = nodesA + i;
    const b = nodesB + i;
    const c = nodesC + i;
    let sum = f32x4.mul(f32x4.add(v128.load(a), v128.load(c, 24)), s3);
    sum = madd(f32x4.add(v128.load(a, 8), v128.load(c, 16)), s2, sum);
    sum = madd(f32x4.add(v128.load(a, 16), v128.load(c, 8)), s1, sum);
    sum = madd(f32x4.add(v128.load(a, 24), v128.load(c)), s0, sum);
    sum = madd(f32x4.add(v128.load(b), v128.load(b, 24)), t0, sum);
    sum = madd(f32x4.add(v128.load(b, 8), v128.load(b, 16)), t1, sum);
    if (isSplit) sum = f32x4.add(sum, correctionsAt(i >> 3));
    v128.store(splined + i, sum);
  }
}
