/**
 * The segments of corners.ts that bend: the integral of the curve on the quintic, times the cubic B-spline, is taken piece
 * by piece between the points where the signal crosses the curve's corners and knots, so that every piece is smooth. One
 * channel of one segment at a time; the four nodes of a piece are the four lanes.
 */
import { corners, shape } from './dispatch.generated';
import { constant, takeInterpolation } from './interpolation';
import { absolute, k, madd } from './math';

/** Most corners and knots of a curve. */
const MOST: i32 = 32;
/** Where the curve has corners or knots, ascending, as signal values (the bias taken off). */
const points = memory.data(32 * 4, 16);
/** 1 for a corner, at which a segment is always divided. */
const firm = memory.data(32, 16);
let count: i32 = 0;
/** Corners proper: where they are, how many half lengths of the segment reach from its middle (1 crosses, 3 is next to). */
const sharp = memory.data(8 * 4, 16);
const sharpSteep = memory.data(8 * 4, 16);
const sharpReach = memory.data(8 * 4, 16);
let sharpCount: i32 = 0;
/**
 * Beyond this change in a segment plain samples don't follow the curve's bends, which lie between `inside` and `extent`
 * from the middle, either of them doubled; and beyond SPLIT times as much three nodes don't.
 */
let bendSteep: f32 = 0;
let inside: f32 = 0;
let extent: f32 = 0;
const SPLIT: f32 = 4;
/** True where the curve goes as |u|^(p+1) with a fractional p at 0, for which the nodes crowd there. */
let graded: bool = false;
let centre: f32 = 0;

/** Takes the corners of a kernel; its own `corners…` or `knots…` calls what follows. */
export function begin(kernel: i32, c: usize): void {
  count = 0;
  sharpCount = 0;
  extent = 0;
  graded = false;
  takeInterpolation(false);
  centre = -load<f32>(c);
  corners(kernel, c);
}

/**
 * A point of the curve, in knee units of the plain curve, between which and the next it is smooth enough for four nodes.
 * In ascending order.
 */
export function knot(at: f32): void {
  point(at, 0);
}

function point(at: f32, isFirm: u8): void {
  if (count == MOST) return;
  store<f32>(points + ((<usize>count) << 2), at + centre);
  store<u8>(firm + <usize>count, isFirm);
  count++;
}

/** A corner proper: segments that cross it count where the signal changes by more than `steep` in them. */
export function corner(at: f32, steep: f32): void {
  sharpAt(at, steep, 1);
  point(at, 1);
}

/** The corner at 0 isn't smooth on either side: nodes crowd there, and it reaches into the segments next to it. */
export function gradedCorner(steep: f32): void {
  sharpAt(0, steep, 3);
  point(0, 1);
  graded = true;
}

function sharpAt(at: f32, steep: f32, reach: f32): void {
  const n = (<usize>sharpCount) << 2;
  // Twice, as the segments' sums are.
  store<f32>(sharp + n, 2 * (at + centre));
  store<f32>(sharpSteep + n, steep);
  store<f32>(sharpReach + n, reach);
  sharpCount++;
}

/** The curve is straight but for its corners and bends. */
export function straightPieces(): void {
  takeInterpolation(true);
}

/**
 * The curve bends where |u| lies between `from` and `to`; segments there count where the signal changes by more than
 * `steep` in them.
 */
export function bends(steep: f32, from: f32, to: f32): void {
  bendSteep = steep;
  inside = 2 * from;
  extent = 2 * to;
}

/** All ones in the lanes whose segment from `p` to `q` touches a corner or is too steep for a bend. */
// @ts-ignore: decorator
@inline
export function touches(p: v128, q: v128): v128 {
  return v128.or(crosses(p, q), isSteep(p, q, bendSteep));
}

/** The same, of those that three nodes wouldn't do for. */
// @ts-ignore: decorator
@inline
export function splits(p: v128, q: v128): v128 {
  return v128.or(crosses(p, q), isSteep(p, q, SPLIT * bendSteep));
}

// @ts-ignore: decorator
@inline
function crosses(p: v128, q: v128): v128 {
  const change = absolute(f32x4.sub(q, p));
  const sum = f32x4.add(p, q);
  let mask = k(0);
  for (let n: usize = 0; n < <usize>sharpCount; n++) {
    const far = absolute(f32x4.sub(sum, v128.load32_splat(sharp + (n << 2))));
    const near = f32x4.lt(far, f32x4.mul(change, v128.load32_splat(sharpReach + (n << 2))));
    mask = v128.or(mask, v128.and(near, f32x4.gt(change, v128.load32_splat(sharpSteep + (n << 2)))));
  }
  return mask;
}

// @ts-ignore: decorator
@inline
function isSteep(p: v128, q: v128, least: f32): v128 {
  const change = absolute(f32x4.sub(q, p));
  const steep = f32x4.gt(change, k(least));
  if (extent == 0 || !v128.any_true(steep)) return k(0);
  const far = absolute(f32x4.sub(f32x4.add(p, q), k(2 * centre)));
  const reaches = v128.and(f32x4.lt(f32x4.sub(far, change), k(extent)), f32x4.gt(f32x4.add(far, change), k(inside)));
  return v128.and(steep, reaches);
}

const LENGTH: i32 = 96 * 4;
/** Sums per frame that the split segments give to the splined outputs they reach, from three before the first on. */
const left = memory.data(LENGTH, 16);
const right = memory.data(LENGTH, 16);
export let isSplit: bool = false;

/** Takes up `bytes` of stereo segments. */
export function clearCorrections(bytes: usize): void {
  if (isSplit) {
    memory.fill(left, 0, LENGTH);
    memory.fill(right, 0, LENGTH);
  }
  isSplit = false;
}

/** What the split segments give to the splined outputs `n` and n + 1. */
// @ts-ignore: decorator
@inline
export function correctionsAt(n: usize): v128 {
  const at = (n + 3) << 2;
  return v128.shuffle<i32>(v128.load64_zero(left + at), v128.load64_zero(right + at), 0, 4, 1, 5);
}

// The quintic of the segment at hand in powers of τ = t − ½.
let a0: f32 = 0;
let a1: f32 = 0;
let a2: f32 = 0;
let a3: f32 = 0;
let a4: f32 = 0;
let a5: f32 = 0;

function takeQuintic(at: usize): void {
  const near = load<f32>(at, 24) + load<f32>(at, 16);
  const middle = load<f32>(at, 32) + load<f32>(at, 8);
  const far = load<f32>(at, 40) + load<f32>(at);
  const nearOdd = load<f32>(at, 24) - load<f32>(at, 16);
  const middleOdd = load<f32>(at, 32) - load<f32>(at, 8);
  const farOdd = load<f32>(at, 40) - load<f32>(at);
  a0 = constant(12) * near + constant(13) * middle + constant(14) * far;
  a2 = constant(15) * near + constant(16) * middle + constant(17) * far;
  a4 = constant(18) * near + constant(19) * middle + constant(20) * far;
  a1 = constant(21) * nearOdd + constant(22) * middleOdd + constant(23) * farOdd;
  a3 = constant(24) * nearOdd + constant(25) * middleOdd + constant(26) * farOdd;
  a5 = constant(27) * nearOdd + constant(28) * middleOdd + constant(29) * farOdd;
}

/**
 * Integrates one channel's segment piece by piece; false where nothing divides it. `at` is its first of six samples (8 bytes apart), the segment lies between the
 * third and the fourth; `n` is its number among the run's segments.
 */
export function splitSegment(kernel: i32, at: usize, side: i32, n: usize, c: usize): bool {
  const to = (side == 0 ? left : right) + (n << 2);
  const from = load<f32>(at, 16);
  const end = load<f32>(at, 24);
  const odd = end - from;
  let start: f32 = -0.5;
  let starts = graded && leans(from, end, centre);
  const rising = end > from;
  const low: f32 = rising ? from : end;
  const high: f32 = rising ? end : from;
  let first = 0;
  while (first < count && load<f32>(points + ((<usize>first) << 2)) <= low) first++;
  let last = first;
  while (last < count && load<f32>(points + ((<usize>last) << 2)) <= high) last++;
  if (first == last && !starts && !(graded && leans(end, from, centre))) return false;
  if (last - first == 1 && load<u8>(firm + <usize>first) == 0 && high - low < gap(first)) return false;
  if (pieceCount > MOST_PIECES - MOST) sumPieces(kernel, c);
  isSplit = true;
  takeQuintic(at);
  for (let n = 0; n < last - first; n++) {
    const corner = load<f32>(points + ((<usize>(rising ? first + n : last - 1 - n)) << 2));
    let t: f32 = (corner - from) / odd - <f32>0.5;
    for (let step = 0; step < 3; step++) {
      const value = a0 + t * (a1 + t * (a2 + t * (a3 + t * (a4 + t * a5)))) - corner;
      const slope = a1 + t * (<f32>2 * a2 + t * (<f32>3 * a3 + t * (<f32>4 * a4 + t * <f32>5 * a5)));
      if (slope * odd <= 0) break;
      t = <f32>Math.min(0.5, Math.max(-0.5, t - value / slope));
    }
    if (t > start) {
      const crowd = graded && corner == centre;
      piece(to, start, t, starts ? 1 : crowd ? -1 : 0);
      start = t;
      starts = crowd;
    }
  }
  if (start < 0.5) {
    const ends = graded && start == -0.5 && leans(end, from, centre);
    piece(to, start, 0.5, starts ? 1 : ends ? -1 : 0);
  }
  return true;
}

/** True when a segment lies next to the corner, outside of it, with `near` the closer end. */
// @ts-ignore: decorator
@inline
function leans(near: f32, far: f32, corner: f32): bool {
  const d = near - corner;
  return d * (far - corner) > 0 && <f32>Math.abs(d) < <f32>Math.abs(far - near) && d * (far - near) > 0;
}

/** How far it is from a knot to the nearer of its neighbours: a segment of that length is as smooth as a piece. */
// @ts-ignore: decorator
@inline
function gap(n: i32): f32 {
  const at = points + ((<usize>n) << 2);
  const below: f32 = n > 0 ? load<f32>(at) - load<f32>(at - 4) : f32.MAX_VALUE;
  const above: f32 = n < count - 1 ? load<f32>(at, 4) - load<f32>(at) : f32.MAX_VALUE;
  return below < above ? below : above;
}

// Pieces whose curve is still to be computed, all at once: signal, time and weight at the nodes, and where they go.
const MOST_PIECES: i32 = 128;
const signals = memory.data(128 * 16, 16);
const times = memory.data(128 * 16, 16);
const weights = memory.data(128 * 16, 16);
const targets = memory.data(128 * 4, 16);
let pieceCount: i32 = 0;

/**
 * Four-point Gauss-Legendre over [start, end] (τ from −½ to ½), for the four outputs from `to` on. `crowd` 1 or −1 takes
 * s² = the share of the way from the start or to the end, which takes |t|^(p+1) to a smooth function.
 */
function piece(to: usize, start: f32, end: f32, crowd: i32): void {
  const span = end - start;
  const node = f32x4(0.0694318442, 0.3300094782, 0.6699905218, 0.9305681558);
  let weight = f32x4(0.1739274226, 0.3260725774, 0.3260725774, 0.1739274226);
  let share = node;
  if (crowd != 0) {
    share = f32x4.mul(node, node);
    weight = f32x4.mul(weight, f32x4.add(node, node));
    if (crowd < 0) share = f32x4.sub(k(1), share);
  }
  const tau = madd(share, k(span), k(start));
  const high = madd(tau, madd(tau, k(a5), k(a4)), k(a3));
  const u = madd(tau, madd(tau, madd(tau, high, k(a2)), k(a1)), k(a0));
  const at = (<usize>pieceCount) << 4;
  v128.store(signals + at, u);
  v128.store(times + at, f32x4.add(tau, k(0.5)));
  v128.store(weights + at, f32x4.mul(weight, k(span * 0.166666667)));
  store<u32>(targets + ((<usize>pieceCount) << 2), <u32>to);
  pieceCount++;
}

/** Computes the curve for all pieces so far and adds them to the corrections. */
export function sumPieces(kernel: i32, c: usize): void {
  // A vector is two frames of two channels to the curve, which doesn't mind what it is.
  shape(kernel, signals, signals, pieceCount << 1, c);
  for (let n: usize = 0; n < <usize>pieceCount; n++) {
    const at = n << 4;
    const value = f32x4.mul(v128.load(signals + at), v128.load(weights + at));
    spread(load<u32>(targets + (n << 2)), value, v128.load(times + at));
  }
  pieceCount = 0;
}

/** Adds `value` at the times `t` of a segment to the four outputs around, by the cubic B-spline (times 6). */
// @ts-ignore: decorator
@inline
function spread(to: usize, value: v128, t: v128): void {
  const r = f32x4.sub(k(1), t);
  const v0 = f32x4.mul(value, f32x4.mul(f32x4.mul(r, r), r));
  const v3 = f32x4.mul(value, f32x4.mul(f32x4.mul(t, t), t));
  // 4 − 6t² + 3t³, and the same of 1 − t.
  const v1 = f32x4.mul(value, madd(f32x4.mul(t, t), madd(t, k(3), k(-6)), k(4)));
  const v2 = f32x4.mul(value, madd(f32x4.mul(r, r), madd(r, k(3), k(-6)), k(4)));
  const low = f32x4.add(v128.shuffle<i32>(v0, v1, 0, 4, 1, 5), v128.shuffle<i32>(v0, v1, 2, 6, 3, 7));
  const high = f32x4.add(v128.shuffle<i32>(v2, v3, 0, 4, 1, 5), v128.shuffle<i32>(v2, v3, 2, 6, 3, 7));
  const sums = f32x4.add(v128.shuffle<i64>(low, high, 0, 2), v128.shuffle<i64>(low, high, 1, 3));
  v128.store(to, f32x4.add(v128.load(to), sums));
}
