/**
 * The shaping pass: what a curve adds, sample by sample. Buffers are interleaved stereo, so a vector holds two frames.
 * Coefficients are single-precision numbers at `c`, written by the stage kinds' `coefficients`.
 */
import {
  algebraicDifference,
  arctangentDifference,
  cubicDifference,
  diodeCurrent,
  hardDifference,
  harmonicDifference,
  oneDifference,
  squareDifference,
  tanhDifference,
} from './curves';
import { k, madd } from './math';

// The same numbers as `Kernel` in src/engine/stages/stage-kind.ts.
const TANH = 0;
const ARCTANGENT = 1;
const CUBIC = 2;
const ALGEBRAIC_SQUARE = 3;
export const ONE = 4;
export const ALGEBRAIC = 5;
export const HARD = 6;
const HARMONIC_SET = 7;
const DIODE_PAIR = 8;

// @ts-ignore: decorator
@inline
export function difference(kernel: i32, x: v128, power: v128, inverse: v128): v128 {
  if (kernel == TANH) return tanhDifference(x);
  if (kernel == ARCTANGENT) return arctangentDifference(x);
  if (kernel == CUBIC) return cubicDifference(x);
  if (kernel == ALGEBRAIC_SQUARE) return squareDifference(x);
  if (kernel == ONE) return oneDifference(x);
  if (kernel == ALGEBRAIC) return algebraicDifference(x, power, inverse);
  return hardDifference(x);
}

/** What a curve adds at its working point, before the slope is normalised; −1 is the diodes' current there. */
// @ts-ignore: decorator
@inline
function stillValue(kernel: i32, c: usize): v128 {
  if (kernel == -1) return diodeCurrent(v128.load32_splat(c, 0), v128.load32_splat(c, 4), v128.load32_splat(c, 8));
  return difference(kernel, v128.load32_splat(c, 0), v128.load32_splat(c, 4), v128.load32_splat(c, 8));
}

/**
 * Soft-clip curves: coefficients bias, p, 1/p, 1/f′(bias).
 * F(u) − u = u·(1/f′ − 1) + (D(u + b) − D(b))/f′. D(b) comes from the same arithmetic, so silence stays silence.
 */
// @ts-ignore: decorator
@inline
function softClipValue(kernel: i32, biased: bool, u: v128, still: v128, c: usize): v128 {
  const power = v128.load32_splat(c, 4);
  const inverse = v128.load32_splat(c, 8);
  if (!biased) return difference(kernel, u, power, inverse);
  const steep = v128.load32_splat(c, 12);
  const d = f32x4.sub(difference(kernel, f32x4.add(u, v128.load32_splat(c, 0)), power, inverse), still);
  return madd(d, steep, f32x4.mul(u, f32x4.sub(steep, k(1))));
}

/**
 * Diodes: coefficients bias, drop, ratio, (voltage at the bias), 1/slope at the bias.
 * F(u) − u = u·(1/slope − 1) − (I(b + u) − I(b))/slope.
 */
// @ts-ignore: decorator
@inline
function diodeValue(u: v128, still: v128, c: usize): v128 {
  const steep = v128.load32_splat(c, 16);
  const current = diodeCurrent(f32x4.add(u, v128.load32_splat(c, 0)), v128.load32_splat(c, 4), v128.load32_splat(c, 8));
  return f32x4.sub(f32x4.mul(u, f32x4.sub(steep, k(1))), f32x4.mul(f32x4.sub(current, still), steep));
}

// @ts-ignore: decorator
@inline
function softClip(kernel: i32, source: usize, target: usize, bytes: usize, c: usize): void {
  if (load<f32>(c) == 0) {
    for (let i: usize = 0; i < bytes; i += 16) {
      v128.store(target + i, softClipValue(kernel, false, v128.load(source + i), k(0), c));
    }
    return;
  }
  const still = stillValue(kernel, c);
  for (let i: usize = 0; i < bytes; i += 16) {
    v128.store(target + i, softClipValue(kernel, true, v128.load(source + i), still, c));
  }
}

function diodes(source: usize, target: usize, bytes: usize, c: usize): void {
  const still = stillValue(-1, c);
  for (let i: usize = 0; i < bytes; i += 16) {
    v128.store(target + i, diodeValue(v128.load(source + i), still, c));
  }
}

function harmonics(source: usize, target: usize, bytes: usize, c: usize): void {
  for (let i: usize = 0; i < bytes; i += 16) {
    v128.store(target + i, harmonicDifference(v128.load(source + i), c));
  }
}

/** target = F(source) − source over `frames` frames (an even number), by the kernel with the coefficients at `c`. */
export function shape(kernel: i32, source: usize, target: usize, frames: i32, c: usize): void {
  const bytes = (<usize>frames) << 3;
  switch (kernel) {
    case TANH:
      softClip(TANH, source, target, bytes, c);
      break;
    case ARCTANGENT:
      softClip(ARCTANGENT, source, target, bytes, c);
      break;
    case CUBIC:
      softClip(CUBIC, source, target, bytes, c);
      break;
    case ALGEBRAIC_SQUARE:
      softClip(ALGEBRAIC_SQUARE, source, target, bytes, c);
      break;
    case ONE:
      softClip(ONE, source, target, bytes, c);
      break;
    case ALGEBRAIC:
      softClip(ALGEBRAIC, source, target, bytes, c);
      break;
    case HARD:
      softClip(HARD, source, target, bytes, c);
      break;
    case HARMONIC_SET:
      harmonics(source, target, bytes, c);
      break;
    default:
      diodes(source, target, bytes, c);
  }
}

/**
 * Shapes with coefficients that move from `c0` to `c1` over the pass: both are computed and faded over linearly, so any
 * curve can glide without a formula for the way between.
 */
export function shapeMoving(kernel: i32, source: usize, target: usize, other: usize, frames: i32, c0: usize, c1: usize): void {
  shape(kernel, source, other, frames, c0);
  shape(kernel, source, target, frames, c1);
  const step: f32 = 1 / <f32>frames;
  const two = k(2 * step);
  let t = f32x4(0, 0, step, step);
  const bytes = (<usize>frames) << 3;
  for (let i: usize = 0; i < bytes; i += 16) {
    const a = v128.load(other + i);
    v128.store(target + i, madd(f32x4.sub(v128.load(target + i), a), t, a));
    t = f32x4.add(t, two);
  }
}
