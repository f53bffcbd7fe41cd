/**
 * Shaping of curves with corners (the algebraic knee at 0 and ±1, the hard clip at ±1) without the aliases that plain
 * sampling of a corner makes.
 *
 * Between two samples the signal is a cubic of the four nearest; the curve is evaluated on it at Gauss-Legendre nodes;
 * each output is the integral over time against a quintic B-spline, which falls as sinc⁶ and has zeros of sixth order
 * at every multiple of the rate, and a filter of three taps makes up for its droop. Segments that touch a corner are
 * integrated piece by piece (corner-segments.ts). It is antiderivative antialiasing with the integral taken
 * numerically: no cancellation in single precision, no half-sample delay, and the straight line isn't touched, because
 * only what the curve adds goes through here.
 *
 * The cubic isn't Lagrange's: its coefficients are the least-squares ones for a signal whose spectrum falls as
 * 1/(1 + (f/f₀)²), f₀ = rate/17.5, up to half the rate. It droops by 0.004 dB at rate/38 but leaves images 6 to 30 dB
 * lower from there on, which is what counts for the second and third stage of a chain, whose input is full of harmonics.
 */
import { beginSegments, touches, splitSegment, corrections } from './corner-segments';
import { held, k, madd } from './math';
import { shape } from './dispatch.generated';
import { shapeMoving } from './shape-moving';

/** Frames of delay: two of the cubic, two of the spline, one of the three taps. */
const LOOKAHEAD: i32 = 5;

// Interpolation weights at the outer node t = ½ − √0.15 for the samples at −1, 0, 1, 2 (reversed at 1 − t), and at ½.
const W0: f32 = -0.0391782916;
const W1: f32 = 0.9436111266;
const W2: f32 = 0.11702998653;
const W3: f32 = -0.0214628215;
const M0: f32 = -0.076422341;
const M1: f32 = 0.576422341;

// Quintic B-spline at the nodes times the Gauss weights 5/18, 8/18, 5/18: for the outputs at −2, −1, 0, 1, 2, 3.
const S0: f32 = 0.00127310606;
const S1: f32 = 0.04778806547;
const S2: f32 = 0.15102444033;
const S3: f32 = 0.07374407819;
const S4: f32 = 0.00394804564;
const S5: f32 = 4.20889335e-8;
const T0: f32 = 0.000115740741;
const T1: f32 = 0.0274305555556;
const T2: f32 = 0.194675925926;

// [−e, 1 + 2e, −e] flattens the spline to ±0.0016 dB up to rate/18.7 (20.5 kHz at 384 kHz), exactly 1 at DC.
const EDGE: f32 = -0.25445538;
const CENTRE: f32 = 1.50891076;

// History of a stage in bytes, 8 a frame: three frames of input, five of each node, five of corrections, two outputs.
const INPUT: usize = 0;
const NODE_A: usize = 24;
const NODE_B: usize = 64;
const NODE_C: usize = 104;
const CARRY: usize = 144;
const OUTPUT: usize = 184;
/** Bytes of history. */
const CORNER_HISTORY: i32 = 200;

const SIZE: i32 = 1024 * 8 + 128;
const input = memory.data(SIZE, 16);
const pointsA = memory.data(SIZE, 16);
const pointsB = memory.data(SIZE, 16);
const pointsC = memory.data(SIZE, 16);
const nodesA = memory.data(SIZE, 16);
const nodesB = memory.data(SIZE, 16);
const nodesC = memory.data(SIZE, 16);
const spare = memory.data(SIZE, 16);
const output = memory.data(SIZE, 16);

/**
 * Replaces `frames` frames at `buffer` by what the curve adds, `LOOKAHEAD` frames late. `history`: CORNER_HISTORY bytes,
 * zero at the start. Coefficients move from `c0` to `c1` when `moving` is set.
 */
export function shapeCorners(kernel: i32, buffer: usize, frames: i32, c0: usize, c1: usize, moving: i32, history: usize): void {
  const bytes = (<usize>frames) << 3;
  memory.copy(input, history + INPUT, 24);
  memory.copy(input + 24, buffer, bytes);
  memory.copy(nodesA, history + NODE_A, 40);
  memory.copy(nodesB, history + NODE_B, 40);
  memory.copy(nodesC, history + NODE_C, 40);
  memory.fill(corrections, 0, bytes + 64);
  memory.copy(corrections, history + CARRY, 40);
  memory.copy(output, history + OUTPUT, 16);

  interpolate(bytes);
  if (moving) {
    shapeMoving(kernel, pointsA, nodesA + 40, spare, frames, c0, c1);
    shapeMoving(kernel, pointsB, nodesB + 40, spare, frames, c0, c1);
    shapeMoving(kernel, pointsC, nodesC + 40, spare, frames, c0, c1);
  } else {
    shape(kernel, pointsA, nodesA + 40, frames, c1);
    shape(kernel, pointsB, nodesB + 40, frames, c1);
    shape(kernel, pointsC, nodesC + 40, frames, c1);
  }
  splitSegments(kernel, bytes, c1);
  weigh(bytes);

  for (let i: usize = 0; i < bytes; i += 16) {
    const outer = f32x4.add(v128.load(output + i), v128.load(output + i, 16));
    v128.store(buffer + i, madd(outer, k(EDGE), f32x4.mul(v128.load(output + i, 8), k(CENTRE))));
  }
  memory.copy(history + INPUT, input + bytes, 24);
  memory.copy(history + NODE_A, nodesA + bytes, 40);
  memory.copy(history + NODE_B, nodesB + bytes, 40);
  memory.copy(history + NODE_C, nodesC + bytes, 40);
  memory.copy(history + CARRY, corrections + bytes, 40);
  memory.copy(history + OUTPUT, output + bytes, 16);
}

/** The cubic at the three nodes of every segment. */
function interpolate(bytes: usize): void {
  const w0 = held(k(W0), 0);
  const w1 = held(k(W1), 1);
  const w2 = held(k(W2), 2);
  const w3 = held(k(W3), 3);
  const m0 = held(k(M0), 4);
  const m1 = held(k(M1), 5);
  for (let i: usize = 0; i < bytes; i += 16) {
    const a = v128.load(input + i);
    const b = v128.load(input + i, 8);
    const c = v128.load(input + i, 16);
    const d = v128.load(input + i, 24);
    v128.store(pointsA + i, madd(a, w0, madd(b, w1, madd(c, w2, f32x4.mul(d, w3)))));
    v128.store(pointsB + i, madd(f32x4.add(a, d), m0, f32x4.mul(f32x4.add(b, c), m1)));
    v128.store(pointsC + i, madd(a, w3, madd(b, w2, madd(c, w1, f32x4.mul(d, w0)))));
  }
}

/** Takes the plain nodes of segments that touch a corner away and has them integrated piece by piece. */
function splitSegments(kernel: i32, bytes: usize, c: usize): void {
  beginSegments(kernel, c);
  for (let i: usize = 0; i < bytes; i += 16) {
    const mask = touches(v128.load(input + i, 8), v128.load(input + i, 16));
    if (!v128.any_true(mask)) continue;
    v128.store(nodesA + i, v128.andnot(v128.load(nodesA + i, 40), mask), 40);
    v128.store(nodesB + i, v128.andnot(v128.load(nodesB + i, 40), mask), 40);
    v128.store(nodesC + i, v128.andnot(v128.load(nodesC + i, 40), mask), 40);
    let lanes = i32x4.bitmask(mask);
    for (let at = i; lanes != 0; at += 4, lanes >>= 1) {
      if (lanes & 1) splitSegment(kernel, input + at, corrections + at, c);
    }
  }
}

/** The outputs before the three taps: every node's value times the spline, plus what the split segments give. */
function weigh(bytes: usize): void {
  const s0 = held(k(S0), 0);
  const s1 = held(k(S1), 1);
  const s2 = held(k(S2), 2);
  const s3 = held(k(S3), 3);
  const s4 = held(k(S4), 4);
  const s5 = held(k(S5), 5);
  const t0 = held(k(T0), 6);
  const t1 = held(k(T1), 7);
  const t2 = held(k(T2), 8);
  for (let i: usize = 0; i < bytes; i += 16) {
    const a = nodesA + i;
    const b = nodesB + i;
    const c = nodesC + i;
    let sum = v128.load(corrections + i);
    sum = madd(f32x4.add(v128.load(a), v128.load(c, 40)), s5, sum);
    sum = madd(f32x4.add(v128.load(a, 8), v128.load(c, 32)), s4, sum);
    sum = madd(f32x4.add(v128.load(a, 16), v128.load(c, 24)), s3, sum);
    sum = madd(f32x4.add(v128.load(a, 24), v128.load(c, 16)), s2, sum);
    sum = madd(f32x4.add(v128.load(a, 32), v128.load(c, 8)), s1, sum);
    sum = madd(f32x4.add(v128.load(a, 40), v128.load(c)), s0, sum);
    sum = madd(f32x4.add(v128.load(b), v128.load(b, 40)), t0, sum);
    sum = madd(f32x4.add(v128.load(b, 8), v128.load(b, 32)), t1, sum);
    sum = madd(f32x4.add(v128.load(b, 16), v128.load(b, 24)), t2, sum);
    v128.store(output + i, sum, 16);
  }
}
