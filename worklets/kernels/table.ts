/**
 * Look-up tables for curves that are dear to compute. A table holds S(x) = D(x)/x as cubics on cells that are equally
 * many in every octave of y = |x| + shift, so that a cell's number and the place in it are bits of y: no logarithm, no
 * search. S instead of D keeps the relative precision of small signals, and 0 stays 0.
 *
 * A kernel says by `octaves` how fine its table has to be; the engine has a few cells made at a time, in double
 * precision through the kernel itself, and computes the curve directly until all of them are there.
 */
import { coefficient, MAX_COEFFICIENTS } from './lanes';
import { madd } from './math';
import { isPlain, moved, normalised } from './working-point';

/** Most cells of a table, both sides together; src/engine/stage-processor.ts allocates as many. */
export const MAX_CELLS: i32 = 704;

/** Header of a table, then its cells of four coefficients each. */
const SHIFT: usize = 0;
const MOST: usize = 4;
const BASE: usize = 8;
const SIDE: usize = 12;
const MASK: usize = 16;
const SCALE: usize = 20;
const BITS: usize = 24;
const LEAST: usize = 28;
const CELLS: usize = 32;

/** Where the table's address stands among the single-precision coefficients; 0 while there is none. */
// @ts-ignore: decorator
@inline
export function tableOf(c: usize): usize {
  return load<u32>(c + 4 * MAX_COEFFICIENTS);
}

let header: usize = 0;
let cells: i32 = 0;

/** The table that `octaves` describes next. */
export function beginTable(table: usize): void {
  header = table;
}

/** Cells of the table that was described last, and of one side of it. */
export function cellsOfTable(): i32 {
  return cells;
}

/**
 * Describes a table: |x| + shift from 2^low to 2^high with 2^bits cells an octave; below and beyond it S, or the curve,
 * is taken as constant. `sided` for a curve that isn't odd. More than MAX_CELLS are cut off above.
 */
export function octaves(shift: f64, low: i32, high: i32, bits: i32, sided: bool): void {
  const sides = sided ? 2 : 1;
  while ((((high - low) << bits) * sides) > MAX_CELLS) high--;
  const one = (high - low) << bits;
  cells = one * sides;
  store<f32>(header + SHIFT, <f32>shift);
  // The last number below 2^high.
  store<i32>(header + MOST, ((high + 127) << 23) - 1);
  store<i32>(header + BASE, ((low + 127) << bits) << 4);
  store<i32>(header + SIDE, sided ? one << 4 : 0);
  store<i32>(header + MASK, (1 << (23 - bits)) - 1);
  store<f32>(header + SCALE, <f32>(1.0 / <f64>(1 << (23 - bits))));
  store<i32>(header + BITS, 23 - bits);
  store<f32>(header + LEAST, <f32>Math.pow(2, low));
}

/** Where cell `n` starts (`share` 0) and ends (1), as a value of x. */
export function placeInTable(n: i32, share: f64): f64 {
  const bits = 23 - load<i32>(header + BITS);
  const side = load<i32>(header + SIDE) >> 4;
  const lower = side > 0 && n >= side;
  const at = (load<i32>(header + BASE) >> 4) + (lower ? n - side : n);
  const octave = (at >> bits) - 127;
  const y = Math.pow(2, <f64>octave) * (1 + (<f64>(at & ((1 << bits) - 1)) + share) / <f64>(1 << bits));
  // S has a limit at 0, where D(x)/x has no value.
  const x = Math.max(y - <f64>load<f32>(header + SHIFT), 1e-9);
  return lower ? -x : x;
}

/** Cell `n` from S at its start, its quarters and its end: the cubic through them. */
export function putCell(n: i32, s0: f64, s1: f64, s2: f64, s3: f64): void {
  const d1 = s1 - s0;
  const d2 = s2 - s0;
  const d3 = s3 - s0;
  const c3 = (16 * d3 - 32 * d2 + 32 * d1) / 3;
  const c2 = (16 * d3 - 15 * c3 - 64 * d1) / 12;
  const at = header + CELLS + ((<usize>n) << 4);
  store<f32>(at, <f32>s0);
  store<f32>(at + 4, <f32>(d3 - c2 - c3));
  store<f32>(at + 8, <f32>c2);
  store<f32>(at + 12, <f32>c3);
}

/** D(x) out of a table. */
// @ts-ignore: decorator
@inline
export function lookUp(x: v128, table: usize): v128 {
  const most = v128.load32_splat(table + MOST);
  const shift = v128.load32_splat(table + SHIFT);
  const least = v128.load32_splat(table + LEAST);
  const y = f32x4.pmin(f32x4.pmax(f32x4.add(f32x4.abs(x), shift), least), most);
  let at = v128.and(i32x4.shr_u(y, load<i32>(table + BITS) - 4), i32x4.splat(0x7ffffff0));
  at = i32x4.sub(at, v128.load32_splat(table + BASE));
  at = i32x4.add(at, v128.and(i32x4.shr_s(x, 31), v128.load32_splat(table + SIDE)));
  const t = f32x4.mul(f32x4.convert_i32x4_s(v128.and(y, v128.load32_splat(table + MASK))), v128.load32_splat(table + SCALE));
  const start = table + CELLS;
  const c0 = v128.load(start + <usize>i32x4.extract_lane(at, 0));
  const c1 = v128.load(start + <usize>i32x4.extract_lane(at, 1));
  const c2 = v128.load(start + <usize>i32x4.extract_lane(at, 2));
  const c3 = v128.load(start + <usize>i32x4.extract_lane(at, 3));
  const low0 = v128.shuffle<i32>(c0, c1, 0, 4, 1, 5);
  const low1 = v128.shuffle<i32>(c2, c3, 0, 4, 1, 5);
  const high0 = v128.shuffle<i32>(c0, c1, 2, 6, 3, 7);
  const high1 = v128.shuffle<i32>(c2, c3, 2, 6, 3, 7);
  const a0 = v128.shuffle<i64>(low0, low1, 0, 2);
  const a1 = v128.shuffle<i64>(low0, low1, 1, 3);
  const a2 = v128.shuffle<i64>(high0, high1, 0, 2);
  const a3 = v128.shuffle<i64>(high0, high1, 1, 3);
  const s = madd(t, madd(t, madd(t, a3, a2), a1), a0);
  const reach = f32x4.sub(most, shift);
  const limited = f32x4.pmin(f32x4.pmax(x, f32x4.neg(reach)), reach);
  return f32x4.add(f32x4.mul(limited, s), f32x4.sub(limited, x));
}

/** `shape` of a curve that has its table: target = F(source) − source over `bytes` bytes. */
export function shapeByTable(source: usize, target: usize, bytes: usize, c: usize, table: usize): void {
  if (isPlain(c)) {
    for (let i: usize = 0; i < bytes; i += 16) v128.store(target + i, lookUp(v128.load(source + i), table));
    return;
  }
  const still = lookUp(coefficient<v128>(c, 0), table);
  for (let i: usize = 0; i < bytes; i += 16) {
    const u = v128.load(source + i);
    v128.store(target + i, normalised<v128>(u, lookUp(moved<v128>(u, c), table), still, c));
  }
}
