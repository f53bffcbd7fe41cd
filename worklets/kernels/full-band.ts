/**
 * Over-sampling by two with any linear-phase filter of 4·pairs − 1 taps: where a half-band's transition, which lies
 * around half the base rate, would fold into what is heard. Both polyphase branches are symmetric filters, one of
 * 2·pairs taps, one of 2·pairs − 1. Delays and buffers are those of the half-bands (oversampler.ts).
 *
 * `taps`: `pairs` of the first branch from its outside in, `pairs` of the second, its middle last.
 */
import { k } from './math';
import { interleave } from './oversampler';

const SIZE: i32 = 1280 * 8;
const even = memory.data(SIZE, 16);
const odd = memory.data(SIZE, 16);
const first = memory.data(SIZE, 16);
const second = memory.data(SIZE, 16);

/**
 * target = a symmetric filter's output: `pairs` pairs of taps around the frame `reach`/2 bytes before each. It reads up
 * to three vectors of frames that are of no meaning, and writes as many.
 */
// @ts-ignore: decorator
@inline
function filter(start: usize, target: usize, bytes: usize, pairs: i32, reach: usize, taps: usize): void {
  for (let i: usize = 0; i < bytes; i += 64) {
    let s0 = k(0);
    let s1 = k(0);
    let s2 = k(0);
    let s3 = k(0);
    let near = start + i;
    let far = near - reach;
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
}

/** source (frames) → target (2·frames). `history` holds 2·pairs − 1 frames; the taps are doubled already. */
export function upsampleFull(source: usize, target: usize, frames: i32, pairs: i32, taps: usize, history: usize): void {
  const past = (<usize>(2 * pairs - 1)) << 3;
  const bytes = (<usize>frames) << 3;
  memory.copy(even, history, past);
  memory.copy(even + past, source, bytes);
  const start = even + past;
  const inner = taps + ((<usize>pairs) << 2);
  filter(start, first, bytes, pairs, past, taps);
  filter(start, second, bytes, pairs, past - 8, inner);
  for (let i: usize = 0; i < bytes; i += 16) {
    interleave(target + (i << 1), v128.load(first + i), v128.load(second + i));
  }
  memory.copy(history, even + bytes, past);
}

/** source (2·frames) → target (frames). `history` holds 2·pairs − 1 even frames, then 2·pairs − 1 odd ones. */
export function downsampleFull(source: usize, target: usize, frames: i32, pairs: i32, taps: usize, history: usize): void {
  const past = (<usize>(2 * pairs - 1)) << 3;
  const bytes = (<usize>frames) << 3;
  memory.copy(even, history, past);
  memory.copy(odd, history + past, past);
  for (let i: usize = 0; i < bytes; i += 16) {
    const a = v128.load(source + (i << 1));
    const b = v128.load(source + (i << 1), 16);
    v128.store(even + past + i, v128.shuffle<i64>(a, b, 0, 2));
    v128.store(odd + past + i, v128.shuffle<i64>(a, b, 1, 3));
  }
  filter(even + past, first, bytes, pairs, past, taps);
  // The odd frame of a pair is one later than the even one, so this branch ends one earlier.
  filter(odd + past - 8, second, bytes, pairs, past - 8, taps + ((<usize>pairs) << 2));
  for (let i: usize = 0; i < bytes; i += 16) {
    v128.store(target + i, f32x4.add(v128.load(first + i), v128.load(second + i)));
  }
  memory.copy(history, even + bytes, past);
  memory.copy(history + past, odd + bytes, past);
}
