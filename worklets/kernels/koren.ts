/**
 * Koren's triode (1996): E₁ = (Vp/KP)·ln(1 + exp(KP·(1/MU + Vg/√(KVB + Vp²)))), Ip = 2·E₁^EX/KG1, with the default set for
 * a 12AX7, and the grid's current. One source for every stage with a triode in it. Volts and mA.
 *
 * For the sound Ip = A(Vp)·G(x) is the product of two functions of one number each, x being what stands within exp:
 * A(Vp) = 2/KG1·(Vp/KP)^EX and G(x) = ln(1 + exp(x))^EX. Each is read from a table of parabolas that meet without a step,
 * 64 an octave and 32 a unit; the last one goes on beyond x = 64, where only a plate near its cathode gets to. Ip is off by less than 1.5e-6 of itself or of the 1 mA that a valve draws at rest, its slopes
 * by less than 1e-3 of themselves; `tests/engine/koren.test.ts` checks both against the equation.
 */
import { k, madd } from './math';
import { expm1Wide, log1pWide } from './wide';

const MU: f64 = 100;
const EX: f64 = 1.4;
const KG1: f64 = 1.06;
const KP: f64 = 600;
const KVB: f64 = 300;

/** Resistance of the conducting grid, kΩ, and the width of its onset, V. */
const GRID_OHMS: f64 = 2;
const ONSET: f64 = 0.05;
/** Below this share of its onset the grid draws nothing. */
const LEAST_ONSET: f32 = -16;

/** Plate current, mA. */
export function plateCurrent(vg: f64, vp: f64): f64 {
  return scaleOf(vp) * bendOf(exponent(vg, vp));
}

function exponent(vg: f64, vp: f64): f64 {
  return KP * (1 / MU + vg / Math.sqrt(KVB + vp * vp));
}

function scaleOf(vp: f64): f64 {
  return vp <= 0 ? 0 : (2 / KG1) * Math.pow(vp / KP, EX);
}

function bendOf(x: f64): f64 {
  return Math.pow(x > 40 ? x : Math.log1p(Math.exp(x)), EX);
}

// Rows of four floats, value, slope, half the curvature and nothing. G's stand at their middles, A's at their beginnings.
const ROW: usize = 16;
const BEND_STEPS: f64 = 32;
const LEAST_BEND: i32 = -20;
const MOST_BEND: i32 = 64;
const BEND_ROWS = (MOST_BEND - LEAST_BEND) * 32 + 2;
/** 1.5·2²³: a number below 2²² that it is added to is rounded to a whole one and leaves that in the low bits. */
const ROUND: f32 = 12582912;
const ROUND_BITS: usize = 0x4b400000;
const bends = memory.data(2690 * 16, 16);
/** Where row 0 of G would be for the bits of a rounded number, shifted to bytes; the sum of both wraps round. */
const bendBase: usize = bends - ((ROUND_BITS + (<usize>(LEAST_BEND * 32))) << 4);

const LEAST_VOLTS: f32 = 1;
const MOST_VOLTS: f32 = 1000;
/** Bits of a float below the six of its mantissa that choose a row. */
const ROW_BITS = 17;
const FIRST_ROW: usize = 127 << 6;
const SCALE_ROWS: usize = 10 << 6;
const scales = memory.data(640 * 16, 16);
const scaleBase: usize = scales - (FIRST_ROW << 4);

for (let i = 0; i < BEND_ROWS; i++) {
  const x = (<f64>i) / BEND_STEPS + <f64>LEAST_BEND;
  const half = 0.5 / BEND_STEPS;
  const before = bendOf(x - half);
  const middle = bendOf(x);
  const after = bendOf(x + half);
  writeRow(bends + ((<usize>i) << 4), middle, after - before, 2 * (before + after - 2 * middle));
}
for (let i: usize = 0; i < SCALE_ROWS; i++) {
  const start = <f64>reinterpret<f32>(<u32>((FIRST_ROW + i) << ROW_BITS));
  const step = <f64>reinterpret<f32>(<u32>((FIRST_ROW + i + 1) << ROW_BITS)) - start;
  const first = scaleOf(start);
  const middle = scaleOf(start + 0.5 * step);
  const last = scaleOf(start + step);
  const half = 2 * (first + last - 2 * middle);
  writeRow(scales + (i << 4), first, (last - first - half) / step, half / (step * step));
}

function writeRow(at: usize, value: f64, slope: f64, half: f64): void {
  store<f32>(at, <f32>value);
  store<f32>(at, <f32>slope, 4);
  store<f32>(at, <f32>half, 8);
}

/**
 * Slopes of the plate's current by grid and plate, mS, as the tables have them: what is linear at rest then leaves
 * nothing behind. `target` gets both, and half the second derivatives by grid, by grid and plate (whole), by plate.
 */
export function slopesAt(vg: f64, vp: f64, target: usize): void {
  const inverse = 1 / Math.sqrt(KVB + vp * vp);
  const x = exponent(vg, vp);
  const nearest = Math.floor(x * BEND_STEPS + 0.5);
  const bend = bends + ((<usize>(<i32>nearest - LEAST_BEND * 32)) << 4);
  const t = x * BEND_STEPS - nearest;
  const g = row(bend, 0) + t * (row(bend, 1) + t * row(bend, 2));
  const g1 = BEND_STEPS * (row(bend, 1) + 2 * t * row(bend, 2));
  const g2 = 2 * BEND_STEPS * BEND_STEPS * row(bend, 2);
  const bits = reinterpret<u32>(<f32>vp);
  const scale = scaleBase + (<usize>(bits >> ROW_BITS) << 4);
  const d = vp - <f64>reinterpret<f32>((bits >> ROW_BITS) << ROW_BITS);
  const a = row(scale, 0) + d * (row(scale, 1) + d * row(scale, 2));
  const a1 = row(scale, 1) + 2 * d * row(scale, 2);
  const a2 = 2 * row(scale, 2);
  const xg = KP * inverse;
  const cube = inverse * inverse * inverse;
  const xp = -KP * vg * vp * cube;
  const xgp = -KP * vp * cube;
  const xpp = -KP * vg * cube * (1 - 3 * vp * vp * inverse * inverse);
  store<f64>(target, a * g1 * xg);
  store<f64>(target, a1 * g + a * g1 * xp, 8);
  store<f64>(target, 0.5 * a * g2 * xg * xg, 16);
  store<f64>(target, a1 * g1 * xg + a * (g2 * xg * xp + g1 * xgp), 24);
  store<f64>(target, 0.5 * (a2 * g + 2 * a1 * g1 * xp + a * (g2 * xp * xp + g1 * xpp)), 32);
}

function row(at: usize, n: usize): f64 {
  return <f64>load<f32>(at + (n << 2));
}

// Loaded: V8 builds a constant vector anew wherever it is used, which costs more.
const TABLE = memory.data<f32>([1, 300, 19200, 192, -640, 2048, 12582912, 1000]);
const enum N {
  one,
  kvb,
  byGrid,
  still,
  leastBend,
  mostBend,
  round,
  mostVolts,
}

// @ts-ignore: decorator
@inline
function n(index: usize): v128 {
  return v128.load32_splat(TABLE + (index << 2));
}

// @ts-ignore: decorator
@inline
function lower(a: v128, b: v128): v128 {
  return v128.shuffle<i32>(a, b, 0, 4, 1, 5);
}

// @ts-ignore: decorator
@inline
function higher(a: v128, b: v128): v128 {
  return v128.shuffle<i32>(a, b, 2, 6, 3, 7);
}

// @ts-ignore: decorator
@inline
function rowOf(base: usize, bytes: i32): v128 {
  return v128.load(base + <usize>bytes);
}

/** Plate current in four lanes, mA; its slopes by grid and plate, mS, are left at `slopes`, 16 bytes each. */
// @ts-ignore: decorator
@inline
export function plateCurrents(vg: v128, plate: v128, slopes: usize): v128 {
  const vp = f32x4.pmin(n(N.mostVolts), f32x4.pmax(n(N.one), plate));
  const inverse = f32x4.div(n(N.one), f32x4.sqrt(madd(vp, vp, n(N.kvb))));
  const byGrid = f32x4.mul(inverse, n(N.byGrid));
  const y = madd(byGrid, vg, n(N.still));
  // The limit first: what isn't a number becomes it, so that nothing is read from beside the tables.
  const limited = f32x4.pmax(n(N.leastBend), y);
  const rounded = f32x4.add(f32x4.pmin(n(N.mostBend), limited), n(N.round));
  const t = f32x4.sub(limited, f32x4.sub(rounded, n(N.round)));
  const bend = i32x4.shl(rounded, 4);
  const b0 = rowOf(bendBase, i32x4.extract_lane(bend, 0));
  const b1 = rowOf(bendBase, i32x4.extract_lane(bend, 1));
  const b2 = rowOf(bendBase, i32x4.extract_lane(bend, 2));
  const b3 = rowOf(bendBase, i32x4.extract_lane(bend, 3));
  const bLow = lower(b0, b1);
  const bHigh = lower(b2, b3);
  const bSlope = v128.shuffle<i64>(bLow, bHigh, 1, 3);
  const bHalf = f32x4.mul(t, v128.shuffle<i64>(higher(b0, b1), higher(b2, b3), 0, 2));
  const g = madd(t, f32x4.add(bSlope, bHalf), v128.shuffle<i64>(bLow, bHigh, 0, 2));
  const gSlope = f32x4.add(bSlope, f32x4.add(bHalf, bHalf));

  v128.store(slopes, g);
  v128.store(slopes, gSlope, 16);
  const bits = i32x4.shr_u(vp, ROW_BITS);
  // Below the first row A goes on along its tangent, so that a plate driven to its cathode is a clear case to solve.
  const d = f32x4.sub(f32x4.pmin(n(N.mostVolts), plate), i32x4.shl(bits, ROW_BITS));
  const scale = i32x4.shl(bits, 4);
  const s0 = rowOf(scaleBase, i32x4.extract_lane(scale, 0));
  const s1 = rowOf(scaleBase, i32x4.extract_lane(scale, 1));
  const s2 = rowOf(scaleBase, i32x4.extract_lane(scale, 2));
  const s3 = rowOf(scaleBase, i32x4.extract_lane(scale, 3));
  const sLow = lower(s0, s1);
  const sHigh = lower(s2, s3);
  const sSlope = v128.shuffle<i64>(sLow, sHigh, 1, 3);
  const sHalf = f32x4.mul(f32x4.pmax(k(0), d), v128.shuffle<i64>(higher(s0, s1), higher(s2, s3), 0, 2));
  const a = madd(d, f32x4.add(sSlope, sHalf), v128.shuffle<i64>(sLow, sHigh, 0, 2));
  const aSlope = f32x4.add(sSlope, f32x4.add(sHalf, sHalf));

  const steep = f32x4.mul(f32x4.pmax(k(0), a), gSlope);
  const gm = f32x4.mul(steep, byGrid);
  v128.store(slopes, gm);
  const byPlate = f32x4.mul(f32x4.mul(vg, vp), f32x4.mul(inverse, inverse));
  v128.store(slopes, f32x4.sub(f32x4.mul(aSlope, g), f32x4.mul(gm, byPlate)), 16);
  return f32x4.mul(a, g);
}

/** Plate current and both slopes at four grid and four plate voltages, 16 bytes each, for whoever asks without hearing. */
export function valveAt(volts: usize, results: usize): void {
  v128.store(results, plateCurrents(v128.load(volts), v128.load(volts, 16), results + 16));
}

/** True where a grid at that voltage, V, draws anything worth counting. */
// @ts-ignore: decorator
@inline
export function conducts(vg: v128): v128 {
  return f32x4.gt(vg, k(LEAST_ONSET * <f32>ONSET));
}

/** The grid's current in four lanes, mA; its slope, mS, is left at `slope`. */
// @ts-ignore: decorator
@inline
export function gridCurrents(vg: v128, slope: usize): v128 {
  const onset = f32x4.mul(vg, k(<f32>(1 / ONSET)));
  const limited = f32x4.pmin(f32x4.pmax(onset, k(LEAST_ONSET)), k(60));
  const e = f32x4.add(expm1Wide(limited), k(1));
  const above = f32x4.pmax(f32x4.sub(onset, k(60)), k(0));
  const flow = v128.and(f32x4.add(log1pWide(e), above), conducts(vg));
  v128.store(slope, v128.and(f32x4.mul(f32x4.div(e, f32x4.add(k(1), e)), k(<f32>(1 / GRID_OHMS))), conducts(vg)));
  return f32x4.mul(flow, k(<f32>(ONSET / GRID_OHMS)));
}

/** Slope of the grid's current, mS. */
export function gridSlope(vg: f64): f64 {
  return vg > <f64>LEAST_ONSET * ONSET ? 1 / (GRID_OHMS * (1 + Math.exp(-vg / ONSET))) : 0;
}
