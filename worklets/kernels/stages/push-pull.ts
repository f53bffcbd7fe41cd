/**
 * Two triodes in opposition: driven in opposite phase through a source resistance each, with a fixed bias that sets their current at rest, their
 * plates at the two ends of an ideal transformer with a centre tap, their Miller capacitances; Koren's valves (koren.ts).
 * The tap is fed through the supply's resistance and has a reservoir capacitor, so that the supply sags with what both draw.
 * Grids draw nothing. Volts, mA, kΩ, and µF for capacitances, so that conductances are mS and times ms.
 *
 * Everything is a deviation from rest. By symmetry the circuit is two: half the difference of the two sides, which makes
 * the sound, and their mean, the supply. The difference is solved as a triode is (triode.ts), with n half the difference of
 * the two valves' currents beyond their slopes at rest. The supply is slow: over four frames it stands still, and moves
 * after them by what they drew.
 */
import { cause, carried, clearEquations, putNext, putNextOfDrive, putOfDrive, putOfHeld, putOfState, solveEquations, unknown, voltage } from '../circuit-block';
import { between, blend, both, co, doubled, early, gathered, late, narrow, pair, scaled, settled, take, upper } from '../four-frames';
import { plateCurrent, plateCurrents, slopesAt } from '../koren';
import { input, put } from '../lanes';
import { absolute, k, madd } from '../math';

/** What the kernel is told: these parameters' values, in this order. */
const enum Input {
  supply,
  idle,
  load,
  source,
  uneven,
  supplyResistance,
  reservoir,
  response,
}

/** Memory in bytes: the Miller capacitances' z by the input and by n, n's in single precision, the supply; the valves. */
const enum PushPullState {
  byInput = 0,
  byValve = 16,
  supply = 32,
  single = 48,
  grid = 56,
  plate = 64,
  beyond = 72,
  gm = 80,
  gp = 88,
  bytes = 96,
}

/** Capacitance from grid to plate, 1.7 pF, in µF. */
const MILLER: f64 = 1.7e-6;
/** Most times that the valves are evaluated for one frame by itself. */
const MOST_EVALUATIONS = 24;

const enum Voltage {
  grid,
  plate,
}
const enum Drive {
  input,
  valve,
}

const enum C {
  plateV,
  gridV,
  gm,
  gp,
  out,
  response,
  /** Half the difference of the two sides' drives, as a share of them. */
  uneven,
  /** What is left of the supply's deviation after four frames, and what 1 mA in both valves adds to it. */
  supplyKeep,
  supplyMake,
  /** Halves of the second derivatives at rest, by grid and by plate, and the whole one by both. */
  bentByGrid,
  bentByBoth,
  bentByPlate,
  gridByHeld = 16,
  plateByHeld = 24,
  gridByState = 32,
  plateByState = 56,
  byInput = 80,
  byValve = 88,
  next = 96,
  nextByInput = 106,
  nextByValve = 130,
}

const bent = memory.data(5 * 8, 8);

export function preparePushPull(v: usize, c: usize, rate: f64): void {
  const supply = input(v, Input.supply);
  const supplyR = input(v, Input.supplyResistance);
  const idle = input(v, Input.idle);
  const vp = supply - 2 * supplyR * idle;
  // The bias that lets each valve draw its current at rest.
  let low = -0.1 * supply;
  let high: f64 = 1;
  for (let i = 0; i < 60; i++) {
    const middle = 0.5 * (low + high);
    if (plateCurrent(middle, vp) < idle) low = middle;
    else high = middle;
  }
  const vg = 0.5 * (low + high);
  slopesAt(vg, vp, bent);
  const gm = load<f64>(bent);
  const gp = load<f64>(bent, 8);
  const source = input(v, Input.source);
  // Each half of the primary sees a quarter of the load from plate to plate, and the other half's current too.
  const loadG = 2 / input(v, Input.load);
  put(c, C.plateV, vp);
  put(c, C.gridV, vg);
  put(c, C.gm, gm);
  put(c, C.gp, gp);
  // 1 over the gain, the Miller capacitances being nothing.
  put(c, C.out, -(loadG + gp) / gm);
  put(c, C.response, input(v, Input.response));
  put(c, C.uneven, 0.005 * input(v, Input.uneven));
  put(c, C.bentByGrid, load<f64>(bent, 16));
  put(c, C.bentByBoth, load<f64>(bent, 24));
  put(c, C.bentByPlate, load<f64>(bent, 32));
  // Milliseconds between frames.
  const h = 1000 / rate;
  const leak = 1 / supplyR + 2 * gp;
  const keep = Math.exp((-4 * h * leak) / input(v, Input.reservoir));
  put(c, C.supplyKeep, keep);
  // A quarter, since it is given the sum over four frames.
  put(c, C.supplyMake, (-0.5 * (1 - keep)) / leak);

  // Unknowns: grid and plate of the first side, less those of the second, halved.
  const miller = (2 * MILLER) / h;
  clearEquations();
  unknown(0, 0, 1 / source + miller);
  unknown(0, 1, -miller);
  cause(0, 0, 1);
  cause(0, 3 + Drive.input, 1 / source);
  unknown(1, 0, gm - miller);
  unknown(1, 1, loadG + gp + miller);
  cause(1, 0, -1);
  cause(1, 3 + Drive.valve, -1);
  solveEquations(2);
  voltage(Voltage.grid, 0, -1);
  voltage(Voltage.plate, 1, -1);
  carried(0, 2 * miller, 0, 1);
  putOfState(c, C.gridByState, Voltage.grid);
  putOfState(c, C.plateByState, Voltage.plate);
  for (let output: usize = 0; output < 2; output++) {
    putOfDrive(c, C.byInput + 4 * output, output, Drive.input);
    putOfDrive(c, C.byValve + 4 * output, output, Drive.valve);
  }
  putOfHeld(c, C.gridByHeld, Voltage.grid, Drive.valve);
  putOfHeld(c, C.plateByHeld, Voltage.plate, Drive.valve);
  putNext(c, C.next);
  putNextOfDrive(c, C.nextByInput, Drive.input);
  putNextOfDrive(c, C.nextByValve, Drive.valve);
}

// Quantities of the four frames at hand: two vectors each, left and right of two frames in one. What `evaluate` leaves has
// a third, for one frame by itself.
const enum At {
  grid = 0,
  plate = 32,
  guess = 64,
  change = 96,
  freeGrid = 128,
  freePlate = 160,
  meanGrid = 192,
  supply = 224,
  still = 240,
  slopes = 256,
  byGrid = 320,
  byPlate = 368,
  error = 416,
  beyond = 464,
  mean = 512,
  /** n in each frame by itself, in both halves. */
  frames = 560,
  bytes = 624,
}
/** Where `evaluate` leaves what it finds of one frame by itself. */
const ALONE: usize = 32;

const W = memory.data(At.bytes, 16);

// What drives the grids is kept within 300 V; so near, V at the plate, an evaluation has to be to what was solved with it;
// below the fourth the memory is let go and isn't heard; so near rest, V at the plate, single precision is lost.
const LIMITS = memory.data<f32>([1, -300, 300, 0.3, 1e-13, 50, 0.2, 0.5, 1 / 3, 0.01]);
const enum Limit {
  one,
  least,
  most,
  near,
  heard,
  weight,
  small,
  half,
  third,
  resting,
}

// @ts-ignore: decorator
@inline
function limit(index: usize): v128 {
  return v128.load32_splat(LIMITS + (index << 2));
}

// @ts-ignore: decorator
@inline
function at(n: usize, o: usize): v128 {
  return v128.load(W + n + o);
}

/** Stores `x` and returns it; see triode.ts. */
// @ts-ignore: decorator
@inline
function fixed(n: usize, o: usize, x: v128): v128 {
  v128.store(W + n + o, x);
  return x;
}

/** A valve's current beyond its slopes at rest, mA; its own slopes are left at `slopes`. */
// @ts-ignore: decorator
@inline
function beyondRest(vg: v128, vp: v128, slopes: usize): v128 {
  const current = plateCurrents(f32x4.add(co(C.gridV), vg), f32x4.add(co(C.plateV), vp), slopes);
  const parabola = madd(
    vg,
    madd(vg, co(C.bentByGrid), f32x4.mul(vp, co(C.bentByBoth))),
    f32x4.mul(f32x4.mul(vp, vp), co(C.bentByPlate)),
  );
  const isSmall = f32x4.lt(madd(absolute(vg), limit(Limit.weight), absolute(vp)), limit(Limit.small));
  const straight = madd(co(C.gm), vg, f32x4.mul(co(C.gp), vp));
  return v128.bitselect(parabola, f32x4.sub(f32x4.sub(current, at(At.still, 0)), straight), isSmall);
}

/** Both valves at half the sides' differences `g` and `p`, two frames; returned is what turns n's error into its change. */
// @ts-ignore: decorator
@inline
function evaluate(o: usize, g: v128, p: v128, guess: v128, meanGrid: v128): v128 {
  const half = limit(Limit.half);
  const supply = at(At.supply, 0);
  const first = W + At.slopes;
  const second = W + At.slopes + 32;
  const one = fixed(At.mean, o, beyondRest(f32x4.add(meanGrid, g), f32x4.add(supply, p), first));
  const other = beyondRest(f32x4.sub(meanGrid, g), f32x4.sub(supply, p), second);
  const beyond = fixed(At.beyond, o, f32x4.mul(half, f32x4.sub(one, other)));
  fixed(At.mean, o, f32x4.add(one, other));
  const gm = f32x4.mul(half, f32x4.add(v128.load(first), v128.load(second)));
  const byGrid = fixed(At.byGrid, o, f32x4.sub(gm, co(C.gm)));
  const gp = f32x4.mul(half, f32x4.add(v128.load(first, 16), v128.load(second, 16)));
  const byPlate = fixed(At.byPlate, o, f32x4.sub(gp, co(C.gp)));
  fixed(At.error, o, f32x4.sub(beyond, guess));
  const own = madd(byGrid, co(C.byValve), f32x4.mul(byPlate, co(C.byValve + 4)));
  return f32x4.div(limit(Limit.one), f32x4.sub(limit(Limit.one), own));
}

/** How much n of these two frames is changed by a change `lag` frames before them. */
// @ts-ignore: decorator
@inline
function heard(o: usize, inverse: v128, lag: usize): v128 {
  const follows = madd(
    at(At.byGrid, o),
    co(C.byValve + lag),
    f32x4.mul(at(At.byPlate, o), co(C.byValve + 4 + lag)),
  );
  return f32x4.mul(inverse, follows);
}

/** Changes of n in the four frames, each from those before it; into W, the later two are returned too. */
// @ts-ignore: decorator
@inline
function solve(inverse0: v128, inverse1: v128): v128 {
  const none = k(0);
  const own0 = f32x4.mul(inverse0, at(At.error, 0));
  const n0 = doubled(own0);
  const e0 = madd(heard(0, inverse0, 1), n0, own0);
  const n01 = fixed(At.change, 0, v128.shuffle<i64>(own0, e0, 0, 3));
  const first = heard(16, inverse1, 1);
  let e1 = madd(
    heard(16, inverse1, 3),
    v128.shuffle<i64>(none, n0, 0, 2),
    f32x4.mul(inverse1, at(At.error, 16)),
  );
  e1 = madd(heard(16, inverse1, 2), n01, e1);
  e1 = madd(first, v128.shuffle<i64>(e0, none, 1, 2), e1);
  return fixed(At.change, 16, madd(first, v128.shuffle<i64>(none, e1, 0, 2), e1));
}

/** True where the last change moved the plates by more than `near`, or is no number. */
// @ts-ignore: decorator
@inline
function farther(change: v128): v128 {
  return v128.not(f32x4.le(absolute(f32x4.mul(change, co(C.byValve + 4))), limit(Limit.near)));
}

/** One frame of two, in both halves. */
// @ts-ignore: decorator
@inline
function alone(n: usize, frame: usize): v128 {
  return v128.load64_splat(W + n + (frame << 3));
}

/**
 * The four frames one after the other, in the channels that are `far`. Neither plate gets beyond its cathode, so n lies
 * between what would bring them there; Newton's steps that leave what is still possible are halved into it.
 */
function solveAlone(far: v128): void {
  const toGrid = co(C.byValve);
  const toPlate = co(C.byValve + 4);
  const inverse = f32x4.div(limit(Limit.one), toPlate);
  const reach = f32x4.pmax(limit(Limit.one), f32x4.add(co(C.plateV), at(At.supply, 0)));
  for (let frame: usize = 0; frame < 4; frame++) {
    let grid = alone(At.freeGrid, frame);
    let plate = alone(At.freePlate, frame);
    for (let lag: usize = 1; lag <= frame; lag++) {
      const n = v128.load(W + At.frames + ((frame - lag) << 4));
      grid = madd(n, co(C.byValve + lag), grid);
      plate = madd(n, co(C.byValve + 4 + lag), plate);
    }
    const meanGrid = alone(At.meanGrid, frame);
    let least = f32x4.mul(f32x4.sub(reach, plate), inverse);
    let most = f32x4.neg(f32x4.mul(f32x4.add(reach, plate), inverse));
    let n = f32x4.pmin(most, f32x4.pmax(least, alone(At.guess, frame)));
    let active = far;
    for (let i = 0; i < MOST_EVALUATIONS && v128.any_true(active); i++) {
      const g = madd(n, toGrid, grid);
      const p = madd(n, toPlate, plate);
      const scale = evaluate(ALONE, g, p, n, meanGrid);
      const error = at(At.error, ALONE);
      const isLow = f32x4.gt(error, k(0));
      least = v128.bitselect(n, least, isLow);
      most = v128.bitselect(most, n, isLow);
      let next = madd(error, scale, n);
      const isInside = v128.and(f32x4.ge(next, least), f32x4.le(next, most));
      next = v128.bitselect(next, f32x4.mul(limit(Limit.half), f32x4.add(least, most)), isInside);
      const step = f32x4.sub(next, n);
      n = v128.bitselect(next, n, active);
      keepLane(At.mean, frame, at(At.mean, ALONE), active);
      if (frame == 3) {
        keepLane(At.beyond, 3, at(At.beyond, ALONE), active);
        keepLane(At.byGrid, 3, at(At.byGrid, ALONE), active);
        keepLane(At.byPlate, 3, at(At.byPlate, ALONE), active);
        keepLane(At.grid, 3, g, active);
        keepLane(At.plate, 3, p, active);
      }
      active = v128.and(active, farther(step));
    }
    v128.store(W + At.frames + (frame << 4), n);
    keepLane(At.guess, frame, n, far);
  }
}

/** Sets one frame of a quantity where `mask` says so. */
// @ts-ignore: decorator
@inline
function keepLane(n: usize, frame: usize, x: v128, mask: v128): void {
  v128.store64_lane(W + n + (frame << 3), v128.bitselect(x, alone(n, frame), mask), 0);
}

/** Groups of four frames that are looked ahead over: what the input alone does to grid and plate, and the input. */
const AHEAD = 32;
const ahead = memory.data(32 * 96, 16);

/** What the input does by itself into `ahead`; into the buffer what goes beyond it with the response on, or nothing. */
function lookAhead(buffer: usize, end: usize, s: usize, hasResponse: bool): void {
  const none = k(0);
  let x = v128.load(s, PushPullState.byInput);
  let target = ahead;
  for (let i = buffer; i < end; i += 32) {
    const u0 = f32x4.pmin(f32x4.pmax(v128.load(i), limit(Limit.least)), limit(Limit.most));
    const u1 = f32x4.pmin(f32x4.pmax(v128.load(i, 16), limit(Limit.least)), limit(Limit.most));
    const before0 = v128.shuffle<i64>(none, u0, 0, 2);
    const before1 = between(u0, u1);
    const z = narrow(x);
    v128.store(target, madd(z, both(C.gridByState), early(u0, before0, C.byInput)));
    v128.store(target, madd(z, both(C.gridByState + 4), late(u0, before0, u1, before1, C.byInput)), 16);
    const p0 = madd(z, both(C.plateByState), early(u0, before0, C.byInput + 4));
    const p1 = madd(z, both(C.plateByState + 4), late(u0, before0, u1, before1, C.byInput + 4));
    v128.store(target, p0, 32);
    v128.store(target, p1, 48);
    v128.store(target, u0, 64);
    v128.store(target, u1, 80);
    target += 96;
    if (hasResponse) {
      const response = co(C.response);
      v128.store(i, f32x4.mul(response, f32x4.sub(f32x4.mul(co(C.out), p0), v128.load(i))));
      v128.store(i, f32x4.mul(response, f32x4.sub(f32x4.mul(co(C.out), p1), v128.load(i, 16))), 16);
    } else {
      v128.store(i, none);
      v128.store(i, none, 16);
    }
    x = f64x2.add(scaled(x, C.next), f64x2.promote_low_f32x4(gathered(u0, u1, C.nextByInput)));
  }
  v128.store(s, settled(x), PushPullState.byInput);
}

/**
 * A guess of n by its slopes where it was evaluated last. n is odd, nearly a cube, whose slopes grow with the distance from
 * rest: with r = dg/grid a step of theirs counts (1 + r + r²/3) times.
 */
// @ts-ignore: decorator
@inline
function guessed(beyond: v128, gm: v128, gp: v128, inverse: v128, dg: v128, dp: v128): v128 {
  const r = f32x4.mul(dg, inverse);
  const more = madd(r, madd(r, limit(Limit.third), limit(Limit.one)), limit(Limit.one));
  return madd(more, madd(dg, gm, f32x4.mul(dp, gp)), beyond);
}

// @ts-ignore: decorator
@inline
function audible(y: v128): v128 {
  return v128.and(y, f32x4.gt(absolute(y), limit(Limit.heard)));
}

/** The second half of a vector into the memory; what is no number is forgotten. */
// @ts-ignore: decorator
@inline
function keepPair(address: usize, x: v128): void {
  v128.store64_lane(address, v128.and(x, f32x4.lt(absolute(x), k(1e30))), 1);
}

/** Adds to the buffer what n does, group by group, each hearing those before it. */
function follow(buffer: usize, end: usize, s: usize): void {
  const none = k(0);
  let v = v128.load(s, PushPullState.byValve);
  let supply = v128.load(s, PushPullState.supply);
  // `v` in single precision, as the last group left it.
  let z = pair(s + PushPullState.single);
  let grid = pair(s + PushPullState.grid);
  let plate = pair(s + PushPullState.plate);
  let beyond = pair(s + PushPullState.beyond);
  let gm = pair(s + PushPullState.gm);
  let gp = pair(s + PushPullState.gp);
  let free = ahead;
  for (let i = buffer; i < end; i += 32) {
    // 1/grid, and little where the grid is near rest and says nothing.
    const inverse = f32x4.div(grid, madd(grid, grid, limit(Limit.resting)));
    const freeGrid0 = fixed(At.freeGrid, 0, madd(z, both(C.gridByState), v128.load(free)));
    const freePlate0 = fixed(At.freePlate, 0, madd(z, both(C.plateByState), v128.load(free, 32)));
    const dg0 = f32x4.sub(madd(beyond, both(C.gridByHeld), freeGrid0), grid);
    const dp0 = f32x4.sub(madd(beyond, both(C.plateByHeld), freePlate0), plate);
    let n0 = fixed(At.guess, 0, guessed(beyond, gm, gp, inverse, dg0, dp0));
    const freeGrid1 = fixed(At.freeGrid, 16, madd(z, both(C.gridByState + 4), v128.load(free, 16)));
    const freePlate1 = fixed(At.freePlate, 16, madd(z, both(C.plateByState + 4), v128.load(free, 48)));
    const dg1 = f32x4.sub(madd(beyond, both(C.gridByHeld + 4), freeGrid1), grid);
    const dp1 = f32x4.sub(madd(beyond, both(C.plateByHeld + 4), freePlate1), plate);
    let n1 = fixed(At.guess, 16, guessed(beyond, gm, gp, inverse, dg1, dp1));
    const meanGrid0 = fixed(At.meanGrid, 0, f32x4.mul(co(C.uneven), v128.load(free, 64)));
    const meanGrid1 = fixed(At.meanGrid, 16, f32x4.mul(co(C.uneven), v128.load(free, 80)));
    free += 96;
    v128.store(W + At.supply, narrow(supply));
    const guessBefore0 = v128.shuffle<i64>(none, n0, 0, 2);
    const guessBefore1 = between(n0, n1);
    const g0 = fixed(At.grid, 0, f32x4.add(freeGrid0, early(n0, guessBefore0, C.byValve)));
    const p0 = fixed(At.plate, 0, f32x4.add(freePlate0, early(n0, guessBefore0, C.byValve + 4)));
    const g1 = fixed(At.grid, 16, f32x4.add(freeGrid1, late(n0, guessBefore0, n1, guessBefore1, C.byValve)));
    const p1 = fixed(At.plate, 16, f32x4.add(freePlate1, late(n0, guessBefore0, n1, guessBefore1, C.byValve + 4)));
    const inverse0 = evaluate(0, g0, p0, n0, meanGrid0);
    const inverse1 = evaluate(16, g1, p1, n1, meanGrid1);
    const change1 = solve(inverse0, inverse1);
    const change0 = at(At.change, 0);
    n0 = fixed(At.guess, 0, f32x4.add(n0, change0));
    n1 = fixed(At.guess, 16, f32x4.add(n1, change1));
    const far = v128.or(farther(change0), farther(change1));
    if (v128.any_true(far)) {
      solveAlone(v128.or(far, v128.shuffle<i64>(far, far, 1, 0)));
      n0 = at(At.guess, 0);
      n1 = at(At.guess, 16);
    }
    grid = upper(at(At.grid, 16));
    plate = upper(at(At.plate, 16));
    beyond = upper(at(At.beyond, 16));
    gm = upper(at(At.byGrid, 16));
    gp = upper(at(At.byPlate, 16));

    const byValve = gathered(n0, n1, C.nextByValve);
    const before0 = v128.shuffle<i64>(none, n0, 0, 2);
    const y0 = madd(z, both(C.plateByState), early(n0, before0, C.byValve + 4));
    const y1 = madd(z, both(C.plateByState + 4), late(n0, before0, n1, between(n0, n1), C.byValve + 4));
    v128.store(i, audible(madd(co(C.out), y0, v128.load(i))));
    v128.store(i, audible(madd(co(C.out), y1, v128.load(i, 16))), 16);
    const next = scaled(v, C.next);
    z = f32x4.add(narrow(next), byValve);
    v = f64x2.add(next, f64x2.promote_low_f32x4(byValve));
    // What both valves draw together: half of it is the mean of what their slopes make of the mean grid, and of n.
    const half = limit(Limit.half);
    const drawn0 = madd(co(C.gm), meanGrid0, f32x4.mul(half, at(At.mean, 0)));
    const drawn1 = madd(co(C.gm), meanGrid1, f32x4.mul(half, at(At.mean, 16)));
    const sum = f32x4.add(drawn0, drawn1);
    const drawn = f32x4.mul(co(C.supplyMake), f32x4.add(sum, upper(sum)));
    supply = f64x2.add(scaled(supply, C.supplyKeep), f64x2.promote_low_f32x4(drawn));
  }
  v128.store(s, settled(v), PushPullState.byValve);
  v128.store(s, settled(supply), PushPullState.supply);
  keepPair(s + PushPullState.single, z);
  keepPair(s + PushPullState.grid, grid);
  keepPair(s + PushPullState.plate, plate);
  keepPair(s + PushPullState.beyond, beyond);
  keepPair(s + PushPullState.gm, gm);
  keepPair(s + PushPullState.gp, gp);
}

/** The current at rest by the arithmetic of the sound, so that silence stays silence. */
// @ts-ignore: decorator
@inline
function stand(): void {
  v128.store(W + At.still, plateCurrents(co(C.gridV), co(C.plateV), W + At.slopes));
}

/** Replaces `frames` frames (a multiple of 4) of volts at the input by what the circuit adds to them. */
export function pushPull(buffer: usize, frames: i32, c0: usize, c1: usize, s: usize): void {
  const end = buffer + ((<usize>frames) << 3);
  const isMoving = c0 != c1;
  const step: f32 = 4 / <f32>frames;
  let t: f32 = 0;
  if (!isMoving) {
    take(c1);
    stand();
  }
  const chunk: usize = isMoving ? 32 : AHEAD * 32;
  for (let from = buffer; from < end; from += chunk) {
    if (isMoving) {
      t += step;
      blend(c0, c1, t);
      stand();
    }
    const to = min(from + chunk, end);
    lookAhead(from, to, s, v128.any_true(co(C.response)));
    follow(from, to, s);
  }
}
