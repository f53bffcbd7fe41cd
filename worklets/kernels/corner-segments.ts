/**
 * The segments of corners.ts that touch a corner: the integral of the curve on the cubic, times the quintic B-spline,
 * is taken piece by piece between the points where the signal crosses the curve's corners, so that every piece is
 * smooth. One channel of one segment at a time; the four nodes of a piece are the four lanes.
 */
import { corners, curve } from './dispatch.generated';
import { absolute, k, madd } from './math';

const SIZE: i32 = 1024 * 8 + 128;
/** Sums per frame and channel that the split segments give to the outputs they reach. */
export const corrections = memory.data(SIZE, 16);

/** Where the curve has corners, ascending, as signal values (the bias taken off). */
const points = memory.data(8 * 4, 16);
let count: i32 = 0;
/** Segments count as touching within this many half lengths of the segment from its middle: 1 crosses, 3 is next to. */
let reach: f32 = 1;
/** True where the curve goes as |u|^(p+1) with a fractional p at 0, for which the nodes crowd there. */
let graded: bool = false;
let centre: f32 = 0;
/** What the curve adds at the working point, before normalising. */
let still: v128 = f32x4.splat(0);

/** Takes the corners of a kernel; its own `corners…` calls what follows. */
export function beginSegments(kernel: i32, c: usize): void {
  count = 0;
  reach = 1;
  graded = false;
  centre = -load<f32>(c);
  still = curve(kernel, v128.load32_splat(c, 0), c);
  corners(kernel, c);
}

/** A corner of the curve at `at`, in knee units of the plain curve. In ascending order. */
export function corner(at: f32): void {
  store<f32>(points + ((<usize>count) << 2), at + centre);
  count++;
}

/** The corner at 0 isn't smooth on either side: nodes crowd there, and it reaches into the segments next to it. */
export function cornersCrowd(): void {
  reach = 3;
  graded = true;
}

/** All ones in the lanes whose segment from `p` to `q` touches a corner. */
// @ts-ignore: decorator
@inline
export function touches(p: v128, q: v128): v128 {
  const length = f32x4.mul(absolute(f32x4.sub(q, p)), k(reach));
  const sum = f32x4.add(p, q);
  let mask = k(0);
  for (let n = 0; n < count; n++) {
    const corner = v128.load32_splat(points + ((<usize>n) << 2));
    mask = v128.or(mask, f32x4.lt(absolute(f32x4.sub(sum, f32x4.add(corner, corner))), length));
  }
  return mask;
}

/**
 * Integrates one channel's segment: `at` is its first of four samples (8 bytes apart), the segment lies between the
 * second and the third; `to` is the first of the six outputs it reaches.
 */
export function splitSegment(kernel: i32, at: usize, to: usize, c: usize): void {
  const before = load<f32>(at);
  const from = load<f32>(at, 8);
  const end = load<f32>(at, 16);
  const after = load<f32>(at, 24);
  // The cubic of corners.ts in powers of τ = t − ½: its even and odd parts.
  const even = from + end;
  const evenOuter = before + after;
  const odd = end - from;
  const oddOuter = after - before;
  const a0: f32 = <f32>0.576422341 * even - <f32>0.076422341 * evenOuter;
  const a1: f32 = <f32>1.16894669 * odd - <f32>0.0576012 * oddOuter;
  const a2: f32 = <f32>0.30734523 * (evenOuter - even);
  const a3: f32 = <f32>0.23153751 * oddOuter - <f32>0.67890015 * odd;
  let start: f32 = -0.5;
  let starts = graded && leans(from, end, centre);
  const rising = end > from;
  for (let n = 0; n < count; n++) {
    const corner = load<f32>(points + ((<usize>(rising ? n : count - 1 - n)) << 2));
    if (from < corner == end < corner) continue;
    let t: f32 = (corner - from) / odd - <f32>0.5;
    for (let step = 0; step < 4; step++) {
      const value = a0 + t * (a1 + t * (a2 + t * a3)) - corner;
      const slope = a1 + t * (<f32>2 * a2 + t * <f32>3 * a3);
      if (slope * odd <= 0) break;
      t = <f32>Math.min(0.5, Math.max(-0.5, t - value / slope));
    }
    if (t > start) {
      const crowd = graded && corner == centre;
      integrate(kernel, to, a0, a1, a2, a3, start, t, starts ? 1 : crowd ? -1 : 0, c);
      start = t;
      starts = crowd;
    }
  }
  if (start < 0.5) {
    const ends = graded && start == -0.5 && leans(end, from, centre);
    integrate(kernel, to, a0, a1, a2, a3, start, 0.5, starts ? 1 : ends ? -1 : 0, c);
  }
}

/** True when a segment lies next to the corner, outside of it, with `near` the closer end. */
// @ts-ignore: decorator
@inline
function leans(near: f32, far: f32, corner: f32): bool {
  const d = near - corner;
  return d * (far - corner) > 0 && <f32>Math.abs(d) < <f32>Math.abs(far - near) && d * (far - near) > 0;
}

/**
 * Four-point Gauss-Legendre over [start, end] (τ from −½ to ½), added to the six outputs. `crowd` 1 or −1 takes
 * s² = the share of the way from the start or to the end, which takes |t|^(p+1) to a smooth function.
 */
function integrate(kernel: i32, to: usize, a0: f32, a1: f32, a2: f32, a3: f32, start: f32, end: f32, crowd: i32, c: usize): void {
  const span = end - start;
  const node = f32x4(0.0694318442, 0.3300094782, 0.6699905218, 0.9305681558);
  let weight = f32x4(0.1739274226, 0.3260725774, 0.3260725774, 0.1739274226);
  let share = node;
  if (crowd != 0) {
    share = f32x4.mul(node, node);
    weight = f32x4.mul(weight, f32x4.add(node, node));
    if (crowd < 0) share = f32x4.sub(k(1), share);
  }
  const t = madd(share, k(span), k(start));
  const u = madd(t, madd(t, madd(t, k(a3), k(a2)), k(a1)), k(a0));
  const d = curve(kernel, f32x4.add(u, v128.load32_splat(c, 0)), c);
  const steep = v128.load32_splat(c, 4);
  const value = madd(f32x4.sub(d, still), steep, f32x4.mul(u, f32x4.sub(steep, k(1))));
  spread(to, f32x4.mul(f32x4.mul(value, k(span)), weight), f32x4.add(t, k(0.5)));
}

/** Adds `value` at the times `t` of a segment to the six outputs around, by the quintic B-spline (Schoenberg's). */
// @ts-ignore: decorator
@inline
function spread(to: usize, value: v128, t: v128): void {
  const r = f32x4.sub(k(1), t);
  const v = f32x4.mul(value, k(0.00833333333));
  add(to, f32x4.mul(v, fifth(r)));
  add(to + 8, f32x4.mul(v, shoulder(r)));
  add(to + 16, f32x4.mul(v, top(t)));
  add(to + 24, f32x4.mul(v, top(r)));
  add(to + 32, f32x4.mul(v, shoulder(t)));
  add(to + 40, f32x4.mul(v, fifth(t)));
}

// @ts-ignore: decorator
@inline
function fifth(t: v128): v128 {
  const t2 = f32x4.mul(t, t);
  return f32x4.mul(f32x4.mul(t2, t2), t);
}

/** 1 + 5t + 10t² + 10t³ + 5t⁴ − 5t⁵ */
// @ts-ignore: decorator
@inline
function shoulder(t: v128): v128 {
  return madd(t, madd(t, madd(t, madd(t, madd(t, k(-5), k(5)), k(10)), k(10)), k(5)), k(1));
}

/** 66 − 60t² + 30t⁴ − 10t⁵ */
// @ts-ignore: decorator
@inline
function top(t: v128): v128 {
  const t2 = f32x4.mul(t, t);
  return madd(t2, madd(t2, madd(t, k(-10), k(30)), k(-60)), k(66));
}

// @ts-ignore: decorator
@inline
function add(to: usize, lanes: v128): void {
  const sum =
    f32x4.extract_lane(lanes, 0) +
    f32x4.extract_lane(lanes, 1) +
    f32x4.extract_lane(lanes, 2) +
    f32x4.extract_lane(lanes, 3);
  store<f32>(to, load<f32>(to) + sum);
}
