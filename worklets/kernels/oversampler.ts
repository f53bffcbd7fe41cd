/**
 * Half-band over-sampling by two, linear phase. A half-band's even polyphase branch is a plain delay, so only the other
 * one is a filter, symmetric, of `2·pairs` taps. Buffers are interleaved stereo.
 */
import { k } from './math';

const SIZE: i32 = 1280 * 8;
const work = memory.data(SIZE, 16);
const even = memory.data(SIZE, 16);
const odd = memory.data(SIZE, 16);

/**
 * `sum` plus a symmetric filter of 2·pairs taps over frames ending at `at`, two frames at once. Terms are added in the
 * order of the loops over four vectors, so that a block's length doesn't change a bit.
 */
// @ts-ignore: decorator
@inline
function symmetric(at: usize, pairs: i32, taps: usize, sum: v128): v128 {
  const far = at - ((<usize>(2 * pairs - 1)) << 3);
  let near = at;
  let other = far;
  for (let i = 0; i < pairs; i++) {
    const tap = v128.load32_splat(taps + ((<usize>i) << 2));
    sum = f32x4.add(sum, f32x4.mul(tap, f32x4.add(v128.load(near), v128.load(other))));
    near -= 8;
    other += 8;
  }
  return sum;
}

/** Writes two even and two odd frames in turn. */
// @ts-ignore: decorator
@inline
export function interleave(target: usize, e: v128, o: v128): void {
  v128.store(target, v128.shuffle<i64>(e, o, 0, 2));
  v128.store(target, v128.shuffle<i64>(e, o, 1, 3), 16);
}

/**
 * source (frames) → target (2·frames). `history` holds 2·pairs − 1 frames; `taps` the first half of the filter branch,
 * already doubled for the zeros between. Group delay 2·pairs − 1 frames at the higher rate.
 */
export function upsample(source: usize, target: usize, frames: i32, pairs: i32, taps: usize, history: usize): void {
  const past = (<usize>(2 * pairs - 1)) << 3;
  const bytes = (<usize>frames) << 3;
  memory.copy(work, history, past);
  memory.copy(work + past, source, bytes);
  const start = work + past;
  const straight = start - ((<usize>(pairs - 1)) << 3);
  let i: usize = 0;
  // Four vectors at a time: each tap is loaded once for eight frames, and the sums don't wait for one another.
  for (; i + 64 <= bytes; i += 64) {
    let s0 = k(0);
    let s1 = k(0);
    let s2 = k(0);
    let s3 = k(0);
    let near = start + i;
    let far = start + i - past;
    for (let n = 0; n < pairs; n++) {
      const tap = v128.load32_splat(taps + ((<usize>n) << 2));
      s0 = f32x4.add(s0, f32x4.mul(tap, f32x4.add(v128.load(near), v128.load(far))));
      s1 = f32x4.add(s1, f32x4.mul(tap, f32x4.add(v128.load(near, 16), v128.load(far, 16))));
      s2 = f32x4.add(s2, f32x4.mul(tap, f32x4.add(v128.load(near, 32), v128.load(far, 32))));
      s3 = f32x4.add(s3, f32x4.mul(tap, f32x4.add(v128.load(near, 48), v128.load(far, 48))));
      near -= 8;
      far += 8;
    }
    const to = target + (i << 1);
    interleave(to, s0, v128.load(straight + i));
    interleave(to + 32, s1, v128.load(straight + i, 16));
    interleave(to + 64, s2, v128.load(straight + i, 32));
    interleave(to + 96, s3, v128.load(straight + i, 48));
  }
  for (; i < bytes; i += 16) {
    interleave(target + (i << 1), symmetric(start + i, pairs, taps, k(0)), v128.load(straight + i));
  }
  memory.copy(history, work + bytes, past);
}

/**
 * source (2·frames) → target (frames). `history` holds 2·pairs − 1 even frames, then `pairs` odd ones. Group delay
 * 2·pairs − 1 frames at the higher rate.
 */
export function downsample(source: usize, target: usize, frames: i32, pairs: i32, taps: usize, history: usize): void {
  const past = (<usize>(2 * pairs - 1)) << 3;
  const oddPast = (<usize>pairs) << 3;
  const bytes = (<usize>frames) << 3;
  memory.copy(even, history, past);
  memory.copy(odd, history + past, oddPast);
  for (let i: usize = 0; i < bytes; i += 16) {
    const a = v128.load(source + (i << 1));
    const b = v128.load(source + (i << 1), 16);
    v128.store(even + past + i, v128.shuffle<i64>(a, b, 0, 2));
    v128.store(odd + oddPast + i, v128.shuffle<i64>(a, b, 1, 3));
  }
  const start = even + past;
  const half = k(0.5);
  let i: usize = 0;
  for (; i + 64 <= bytes; i += 64) {
    let s0 = f32x4.mul(half, v128.load(odd + i));
    let s1 = f32x4.mul(half, v128.load(odd + i, 16));
    let s2 = f32x4.mul(half, v128.load(odd + i, 32));
    let s3 = f32x4.mul(half, v128.load(odd + i, 48));
    let near = start + i;
    let far = start + i - past;
    for (let n = 0; n < pairs; n++) {
      const tap = v128.load32_splat(taps + ((<usize>n) << 2));
      s0 = f32x4.add(s0, f32x4.mul(tap, f32x4.add(v128.load(near), v128.load(far))));
      s1 = f32x4.add(s1, f32x4.mul(tap, f32x4.add(v128.load(near, 16), v128.load(far, 16))));
      s2 = f32x4.add(s2, f32x4.mul(tap, f32x4.add(v128.load(near, 32), v128.load(far, 32))));
      s3 = f32x4.add(s3, f32x4.mul(tap, f32x4.add(v128.load(near, 48), v128.load(far, 48))));
      near -= 8;
      far += 8;
    }
    v128.store(target + i, s0);
    v128.store(target + i, s1, 16);
    v128.store(target + i, s2, 32);
    v128.store(target + i, s3, 48);
  }
  for (; i < bytes; i += 16) {
    v128.store(target + i, symmetric(start + i, pairs, taps, f32x4.mul(half, v128.load(odd + i))));
  }
  memory.copy(history, even + bytes, past);
  memory.copy(history + past, odd + bytes, oddPast);
}
