/** Base-rate passes: bringing signals in and out, delaying, summing. Buffers are interleaved stereo but for the edges. */
import { absolute, k, madd } from './math';

const SIZE: i32 = 1280 * 8;
const work = memory.data(SIZE, 16);

/** Delays `frames` frames in place by `delay` frames; `history` holds that many. */
export function delay(buffer: usize, frames: i32, delay: i32, history: usize): void {
  if (delay == 0) return;
  const past = (<usize>delay) << 3;
  const bytes = (<usize>frames) << 3;
  memory.copy(work, history, past);
  memory.copy(work + past, buffer, bytes);
  memory.copy(buffer, work, bytes);
  memory.copy(history, work + bytes, past);
}

/** target = source. */
export function copy(target: usize, source: usize, frames: i32): void {
  memory.copy(target, source, (<usize>frames) << 3);
}

/**
 * Two planar channels to interleaved. NaN and infinity become 0 and the rest is limited to ±256 (+48 dBFS): nothing a
 * host sends can poison a recursive state or get out as noise.
 */
export function interleave(left: usize, right: usize, target: usize, frames: i32): void {
  const bytes = (<usize>frames) << 2;
  for (let i: usize = 0; i < bytes; i += 16) {
    const l = scrubbed(v128.load(left + i));
    const r = scrubbed(v128.load(right + i));
    v128.store(target + (i << 1), v128.shuffle<i32>(l, r, 0, 4, 1, 5));
    v128.store(target + (i << 1), v128.shuffle<i32>(l, r, 2, 6, 3, 7), 16);
  }
}

// @ts-ignore: decorator
@inline
function scrubbed(x: v128): v128 {
  // A comparison with NaN is false, so NaN fails this as infinity does.
  const finite = f32x4.lt(absolute(x), k(3.4e38));
  return f32x4.pmin(f32x4.pmax(v128.and(x, finite), k(-256)), k(256));
}

/** Interleaved to two planar channels. */
export function deinterleave(source: usize, left: usize, right: usize, frames: i32): void {
  const bytes = (<usize>frames) << 2;
  for (let i: usize = 0; i < bytes; i += 16) {
    const a = v128.load(source + (i << 1));
    const b = v128.load(source + (i << 1), 16);
    v128.store(left + i, v128.shuffle<i32>(a, b, 0, 2, 4, 6));
    v128.store(right + i, v128.shuffle<i32>(a, b, 1, 3, 5, 7));
  }
}

/**
 * buffer = match·(gain·buffer + share·added): the rack's linear part and what its stages add. All three gains move
 * linearly over the pass; `added` is 0 where the rack has nothing to add. The result is limited to ±65536 (+96 dBFS), so
 * that eight stages of +48 dB in three racks in a row stay finite.
 */
export function combine(
  buffer: usize,
  added: usize,
  frames: i32,
  gain0: f32,
  gain1: f32,
  share0: f32,
  share1: f32,
  match0: f32,
  match1: f32,
): void {
  const bytes = (<usize>frames) << 3;
  const n: f32 = 1 / <f32>frames;
  const dGain: f32 = (gain1 - gain0) * n;
  const dShare: f32 = (share1 - share0) * n;
  const dMatch: f32 = (match1 - match0) * n;
  let gain = f32x4(gain0, gain0, gain0 + dGain, gain0 + dGain);
  let share = f32x4(share0, share0, share0 + dShare, share0 + dShare);
  let match = f32x4(match0, match0, match0 + dMatch, match0 + dMatch);
  const gainStep = k(2 * dGain);
  const shareStep = k(2 * dShare);
  const matchStep = k(2 * dMatch);
  for (let i: usize = 0; i < bytes; i += 16) {
    let y = f32x4.mul(gain, v128.load(buffer + i));
    if (added != 0) y = madd(share, v128.load(added + i), y);
    y = f32x4.pmin(f32x4.pmax(f32x4.mul(match, y), k(-65536)), k(65536));
    // The frame after an odd number of frames is the next call's input.
    if (i + 16 <= bytes) v128.store(buffer + i, y);
    else v128.store64_lane(buffer + i, y, 0);
    gain = f32x4.add(gain, gainStep);
    share = f32x4.add(share, shareStep);
    match = f32x4.add(match, matchStep);
  }
}

/** target += source times a gain per side, each moving linearly over the pass. */
export function mixInto(
  target: usize,
  source: usize,
  frames: i32,
  left0: f32,
  left1: f32,
  right0: f32,
  right1: f32,
): void {
  const bytes = (<usize>frames) << 3;
  const n: f32 = 1 / <f32>frames;
  const dl: f32 = (left1 - left0) * n;
  const dr: f32 = (right1 - right0) * n;
  let gain = f32x4(left0, right0, left0 + dl, right0 + dr);
  const step = f32x4(2 * dl, 2 * dr, 2 * dl, 2 * dr);
  for (let i: usize = 0; i < bytes; i += 16) {
    v128.store(target + i, madd(gain, v128.load(source + i), v128.load(target + i)));
    gain = f32x4.add(gain, step);
  }
}

/**
 * One plane: target += gain·(match·source), each product rounded and limited as `combine` and `mixInto` do it, so that
 * sums of whole recordings are the samples that are heard. Reads and writes up to three samples behind the last one.
 */
export function addPlane(target: usize, source: usize, frames: i32, match: f32, gain: f32): void {
  const bytes = (<usize>frames) << 2;
  const m = k(match);
  const g = k(gain);
  for (let i: usize = 0; i < bytes; i += 16) {
    const x = f32x4.pmin(f32x4.pmax(f32x4.mul(m, v128.load(source + i)), k(-65536)), k(65536));
    v128.store(target + i, madd(g, x, v128.load(target + i)));
  }
}

/** target = gainA·a + gainB·b, both gains moving linearly over the pass: the switch between the two sides. */
export function fadeSides(
  target: usize,
  a: usize,
  b: usize,
  frames: i32,
  a0: f32,
  a1: f32,
  b0: f32,
  b1: f32,
): void {
  const bytes = (<usize>frames) << 3;
  const n: f32 = 1 / <f32>frames;
  const da: f32 = (a1 - a0) * n;
  const db: f32 = (b1 - b0) * n;
  let ga = f32x4(a0, a0, a0 + da, a0 + da);
  let gb = f32x4(b0, b0, b0 + db, b0 + db);
  const aStep = k(2 * da);
  const bStep = k(2 * db);
  for (let i: usize = 0; i < bytes; i += 16) {
    v128.store(target + i, madd(ga, v128.load(a + i), f32x4.mul(gb, v128.load(b + i))));
    ga = f32x4.add(ga, aStep);
    gb = f32x4.add(gb, bStep);
  }
}
