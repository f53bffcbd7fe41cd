/**
 * A triode in common cathode: source resistance and coupling capacitor to the grid, grid leak, plate resistor to the
 * supply, cathode resistor with a bypass capacitor, Miller capacitance from plate to grid; Koren's valve (koren.ts). Volts,
 * mA, kΩ, and µF for capacitances throughout, so that conductances are mS and times ms.
 *
 * Everything is a deviation from the working point at rest. The valve is its slopes there, which with everything around it
 * are a linear circuit (circuit-block.ts), and a current n that says how far it is from them; the grid's current m is
 * another. What the stage adds is what n and m do.
 *
 * The circuit is solved implicitly (trapezoidal rule), four frames at once. The input is known, so the linear circuit says
 * most of where the valve will be; a guess of n follows the last frame's slopes and the curvature at rest. At it the valve
 * is evaluated in every lane, and with its slopes there n is solved, frame by frame as each hears those before it. Where
 * that took it further than `NEAR`, it is done again from there: what is left is about the square of the distance.
 */
import { cause, carried, clearEquations, putNext, putNextOfDrive, putOfDrive, putOfHeld, putOfState, solveEquations, unknown, voltage } from '../circuit-block';
import { between, blend, both, carriedOn, co, doubled, early, gathered, late, narrow, ofState, pair, settled, take, upper } from '../four-frames';
import { conducts, gridCurrents, gridSlope, plateCurrent, plateCurrents, slopesAt } from '../koren';
import { input, put } from '../lanes';
import { absolute, k, madd } from '../math';

/** What the kernel is told: these parameters' values, in this order. */
const enum Input {
  supply,
  plate,
  cathode,
  bypass,
  source,
  capacitor,
  response,
}

/** Memory in bytes: z by the input, z by n and m, the same in single precision, the valve where it was last evaluated. */
const enum TriodeState {
  byInput = 0,
  byValve = 48,
  single = 96,
  grid = 120,
  plate = 128,
  beyond = 136,
  gm = 144,
  gp = 152,
  gridCurrent = 160,
  gg = 168,
  bytes = 176,
}

/** Grid leak, kΩ. */
const LEAK: f64 = 1000;
/** Capacitance from grid to plate, 1.7 pF, in µF. */
const MILLER: f64 = 1.7e-6;
/** Most times that the valve is evaluated for four frames; one is enough for mild signals. */
const MOST_EVALUATIONS = 8;
/** So near, V at the grid, an evaluation has to be to what was solved with it. */
const GRID_NEAR: f32 = 1e-3;

// Voltages that are asked of the linear circuit, and what drives it.
const enum Voltage {
  grid,
  plate,
  out,
}
const enum Drive {
  input,
  valve,
  grid,
}

const enum C {
  current,
  plateV,
  gridV,
  gm,
  gp,
  out,
  response,
  /** Slope of the grid's current at rest. */
  gg,
  /** Halves of the second derivatives at rest, by grid and by plate, and the whole one by both. */
  bentByGrid,
  bentByBoth,
  bentByPlate,
  gridByHeld = 16,
  plateByHeld = 24,
  byState = 32,
  byInput = 104,
  byValve = 116,
  byGrid = 128,
  next = 140,
  nextByInput = 150,
  nextByValve = 174,
  nextByGrid = 198,
}

const bent = memory.data(5 * 8, 8);

export function prepareTriode(v: usize, c: usize, rate: f64): void {
  const supply = input(v, Input.supply);
  const plate = input(v, Input.plate);
  const cathode = input(v, Input.cathode);
  // At rest: the current that the valve draws at the voltages that this current leaves it.
  let low: f64 = 0;
  let high = supply / (plate + cathode);
  for (let i = 0; i < 60; i++) {
    const middle = 0.5 * (low + high);
    if (plateCurrent(-middle * cathode, supply - middle * (plate + cathode)) > middle) low = middle;
    else high = middle;
  }
  const current = 0.5 * (low + high);
  const vg = -current * cathode;
  const vp = supply - current * (plate + cathode);
  slopesAt(vg, vp, bent);
  const gm = load<f64>(bent);
  const gp = load<f64>(bent, 8);
  const source = input(v, Input.source);
  put(c, C.current, current);
  put(c, C.plateV, vp);
  put(c, C.gridV, vg);
  put(c, C.gm, gm);
  put(c, C.gp, gp);
  const gg = gridSlope(vg);
  put(c, C.gg, gg);
  // 1 over the gain in the middle of the band, where the bypass is a short and the Miller capacitance nothing.
  put(c, C.out, -((1 / plate + gp) * source * (1 / source + 1 / LEAK + gg)) / gm);
  put(c, C.response, input(v, Input.response));
  put(c, C.bentByGrid, load<f64>(bent, 16));
  put(c, C.bentByBoth, load<f64>(bent, 24));
  put(c, C.bentByPlate, load<f64>(bent, 32));

  // Unknowns grid, plate, cathode, coupling capacitor. Milliseconds between frames.
  const h = 1000 / rate;
  const miller = (2 * MILLER) / h;
  const intoCathode = (0.5 * h) / input(v, Input.bypass);
  const intoCapacitor = (0.5 * h) / (1e-3 * input(v, Input.capacitor));
  clearEquations();
  // Currents that leave the grid.
  unknown(0, 0, 1 / source + 1 / LEAK + miller + gg);
  unknown(0, 1, -miller);
  unknown(0, 2, -gg);
  unknown(0, 3, 1 / source);
  cause(0, 2, 1);
  cause(0, 3 + Drive.input, 1 / source);
  cause(0, 3 + Drive.grid, -1);
  // And the plate.
  unknown(1, 0, gm - miller);
  unknown(1, 1, 1 / plate + gp + miller);
  unknown(1, 2, -gm - gp);
  cause(1, 2, -1);
  cause(1, 3 + Drive.valve, -1);
  // What flows into the capacitors.
  unknown(2, 0, -intoCathode * (gm + gg));
  unknown(2, 1, -intoCathode * gp);
  unknown(2, 2, 1 + intoCathode * (gm + gp + gg + 1 / cathode));
  cause(2, 0, 1);
  cause(2, 3 + Drive.valve, intoCathode);
  cause(2, 3 + Drive.grid, intoCathode);
  unknown(3, 0, intoCapacitor / source);
  unknown(3, 3, 1 + intoCapacitor / source);
  cause(3, 1, 1);
  cause(3, 3 + Drive.input, intoCapacitor / source);
  solveEquations(4);
  voltage(Voltage.grid, 0, 2);
  voltage(Voltage.plate, 1, 2);
  voltage(Voltage.out, 1, -1);
  carried(0, 2, 2, -1);
  carried(1, 2, 3, -1);
  carried(2, 2 * miller, 0, 1);
  for (let output: usize = 0; output < 3; output++) {
    putOfState(c, C.byState + 24 * output, output);
    putOfDrive(c, C.byInput + 4 * output, output, Drive.input);
    putOfDrive(c, C.byValve + 4 * output, output, Drive.valve);
    putOfDrive(c, C.byGrid + 4 * output, output, Drive.grid);
  }
  putOfHeld(c, C.gridByHeld, Voltage.grid, Drive.valve);
  putOfHeld(c, C.plateByHeld, Voltage.plate, Drive.valve);
  putNext(c, C.next);
  putNextOfDrive(c, C.nextByInput, Drive.input);
  putNextOfDrive(c, C.nextByValve, Drive.valve);
  putNextOfDrive(c, C.nextByGrid, Drive.grid);
}

// Quantities of the four frames at hand: two vectors each, left and right of two frames in one.
const enum At {
  grid = 0,
  plate = 32,
  guess = 64,
  gridGuess = 96,
  change = 128,
  gridChange = 160,
  beyond = 192,
  gm = 224,
  gp = 256,
  gridCurrent = 288,
  gg = 320,
  /** How far n is off its guess, a frame's own change of m, and how they follow grid and plate. */
  error = 352,
  gridOwn = 384,
  byGrid = 416,
  byPlate = 448,
  gridByGrid = 480,
  freeGrid = 512,
  freePlate = 544,
  slopes = 576,
  active = 640,
  gathered = 656,
  bytes = 704,
}

const W = memory.data(At.bytes, 16);

// What drives the grid is kept within 30 V, 45 dB over the alignment level; so near, V at the plate, an evaluation has to be to
// what was solved with it, which leaves 1e-5 V there; below the fifth the memory is let go and isn't heard; volts at the plate
// and, weighed, at the grid within which single precision is lost.
const enum Limit {
  one,
  least,
  most,
  near,
  heard,
  weight,
  small,
}
const LIMITS = memory.data<f32>([1, -30, 30, 0.05, 1e-13, 50, 0.2]);

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

// @ts-ignore: decorator
@inline
function set(n: usize, o: usize, x: v128): void {
  v128.store(W + n + o, x);
}

/**
 * The same, and `x` itself. V8 computes what isn't stored as late as it can, but loads early: without this a group's
 * coefficients all come before its arithmetic, more than there are registers, and are put away and fetched again.
 */
// @ts-ignore: decorator
@inline
function fixed(n: usize, o: usize, x: v128): v128 {
  v128.store(W + n + o, x);
  return x;
}

/** Sets it in the channels that go on; the first time that is both. */
// @ts-ignore: decorator
@inline
function move(n: usize, o: usize, x: v128, isFirst: bool): void {
  if (isFirst) v128.store(W + n + o, x);
  else v128.store(W + n + o, v128.bitselect(x, v128.load(W + n + o), v128.load(W + At.active)));
}

/**
 * The valve at `vg` and `vp`, two frames of it, where n was guessed. With its slopes there n is linear in what the frames
 * before in this group were changed by: what is left in W are its error and how it follows grid and plate, and returned is
 * what turns its error into its own change. The same of m with `withGrid`; a channel whose grid draws nothing comes out the
 * same, to the bit, with and without.
 */
// @ts-ignore: decorator
@inline
function evaluate(o: usize, vg: v128, vp: v128, guess: v128, isFirst: bool, withGrid: bool): v128 {
  const gm = co(C.gm);
  const gp = co(C.gp);
  const slopes = W + At.slopes + 2 * o;
  const gridV = f32x4.add(co(C.gridV), vg);
  const current = plateCurrents(gridV, f32x4.add(co(C.plateV), vp), slopes);
  // So near rest that single precision has lost it in the current, n is its own parabola.
  const parabola = madd(
    vg,
    madd(vg, co(C.bentByGrid), f32x4.mul(vp, co(C.bentByBoth))),
    f32x4.mul(f32x4.mul(vp, vp), co(C.bentByPlate)),
  );
  const isSmall = f32x4.lt(madd(absolute(vg), limit(Limit.weight), absolute(vp)), limit(Limit.small));
  const beyond = v128.bitselect(
    parabola,
    f32x4.sub(f32x4.sub(current, v128.load(stills)), madd(gm, vg, f32x4.mul(gp, vp))),
    isSmall,
  );
  let byGrid = f32x4.sub(v128.load(slopes), gm);
  const byPlate = f32x4.sub(v128.load(slopes, 16), gp);
  if (o > 0) {
    move(At.beyond, 0, beyond, isFirst);
    move(At.gm, 0, byGrid, isFirst);
    move(At.gp, 0, byPlate, isFirst);
  }
  let error = f32x4.sub(beyond, guess);
  let own = f32x4.sub(limit(Limit.one), madd(byGrid, co(C.byValve), f32x4.mul(byPlate, co(C.byValve + 4))));
  if (withGrid) {
    const atRest = co(C.gg);
    const drawn = f32x4.sub(gridCurrents(gridV, W + At.slopes), v128.load(stills, 16));
    const flow = f32x4.sub(drawn, f32x4.mul(atRest, vg));
    const gg = f32x4.sub(v128.load(W + At.slopes), atRest);
    if (o > 0) {
      move(At.gridCurrent, 0, flow, isFirst);
      move(At.gg, 0, gg, isFirst);
    }
    const gridError = f32x4.sub(flow, at(At.gridGuess, o));
    const share = f32x4.div(k(1), f32x4.sub(k(1), f32x4.mul(gg, co(C.byGrid))));
    const felt = f32x4.mul(share, madd(byGrid, co(C.byGrid), f32x4.mul(byPlate, co(C.byGrid + 4))));
    set(At.gridOwn, o, f32x4.mul(share, gridError));
    set(At.gridByGrid, o, f32x4.mul(share, gg));
    error = madd(felt, gridError, error);
    own = f32x4.sub(own, f32x4.mul(f32x4.mul(felt, gg), co(C.byValve)));
    byGrid = madd(felt, gg, byGrid);
  }
  set(At.error, o, error);
  set(At.byGrid, o, byGrid);
  set(At.byPlate, o, byPlate);
  return f32x4.div(limit(Limit.one), own);
}

/** How much n of these two frames is changed by a change `lag` frames before them, of n or with `C.byGrid` of m. */
// @ts-ignore: decorator
@inline
function heard(o: usize, inverse: v128, drive: usize, lag: usize): v128 {
  const follows = madd(at(At.byGrid, o), co(drive + lag), f32x4.mul(at(At.byPlate, o), co(drive + 4 + lag)));
  return f32x4.mul(inverse, follows);
}

/** Changes of n in the four frames, each from those before it; the later two are returned. */
// @ts-ignore: decorator
@inline
function solve(inverse0: v128, inverse1: v128): v128 {
  const none = k(0);
  const own0 = f32x4.mul(inverse0, at(At.error, 0));
  const n0 = doubled(own0);
  const e0 = madd(heard(0, inverse0, C.byValve, 1), n0, own0);
  const n01 = v128.shuffle<i64>(own0, e0, 0, 3);
  const first = heard(16, inverse1, C.byValve, 1);
  let e1 = madd(heard(16, inverse1, C.byValve, 3), v128.shuffle<i64>(none, n0, 0, 2), f32x4.mul(inverse1, at(At.error, 16)));
  e1 = madd(heard(16, inverse1, C.byValve, 2), n01, e1);
  e1 = madd(first, v128.shuffle<i64>(e0, none, 1, 2), e1);
  set(At.change, 0, n01);
  return madd(first, v128.shuffle<i64>(none, e1, 0, 2), e1);
}

/** The same of n and m. What m adds to n is added last, so that a grid that draws nothing leaves every bit as it is. */
// @ts-ignore: decorator
@inline
function solveWithGrid(inverse0: v128, inverse1: v128): void {
  const none = k(0);
  const own0 = f32x4.mul(inverse0, at(At.error, 0));
  const share0 = at(At.gridByGrid, 0);
  const share1 = at(At.gridByGrid, 16);
  const now = co(C.byValve);
  const n0 = doubled(own0);
  const flow0 = madd(share0, f32x4.mul(now, own0), at(At.gridOwn, 0));
  const m0 = doubled(flow0);
  const e0 = madd(heard(0, inverse0, C.byGrid, 1), m0, madd(heard(0, inverse0, C.byValve, 1), n0, own0));
  const seen0 = madd(co(C.byGrid + 1), m0, madd(co(C.byValve + 1), n0, f32x4.mul(now, e0)));
  const n01 = v128.shuffle<i64>(own0, e0, 0, 3);
  const m01 = v128.shuffle<i64>(flow0, madd(share0, seen0, at(At.gridOwn, 0)), 0, 3);
  const first = heard(16, inverse1, C.byValve, 1);
  const firstOfGrid = heard(16, inverse1, C.byGrid, 1);
  const nBefore = v128.shuffle<i64>(none, n0, 0, 2);
  const mBefore = v128.shuffle<i64>(none, m0, 0, 2);
  let e1 = madd(heard(16, inverse1, C.byValve, 3), nBefore, f32x4.mul(inverse1, at(At.error, 16)));
  e1 = madd(heard(16, inverse1, C.byValve, 2), n01, e1);
  e1 = madd(first, v128.shuffle<i64>(n01, none, 1, 2), e1);
  e1 = madd(heard(16, inverse1, C.byGrid, 3), mBefore, e1);
  e1 = madd(heard(16, inverse1, C.byGrid, 2), m01, e1);
  e1 = madd(firstOfGrid, v128.shuffle<i64>(m01, none, 1, 2), e1);
  // The grid by the first two frames, and by the third in the fourth.
  let seen = madd(co(C.byValve + 2), n01, f32x4.mul(co(C.byValve + 3), nBefore));
  seen = madd(co(C.byGrid + 2), m01, madd(co(C.byGrid + 3), mBefore, seen));
  const seen2 = madd(co(C.byValve + 1), upper(n01), madd(co(C.byGrid + 1), upper(m01), seen));
  const flow2 = madd(share1, madd(now, e1, seen2), at(At.gridOwn, 16));
  const n2 = v128.shuffle<i64>(none, e1, 0, 2);
  const m2 = v128.shuffle<i64>(none, flow2, 0, 2);
  e1 = madd(firstOfGrid, m2, madd(first, n2, e1));
  const seen3 = madd(co(C.byValve + 1), n2, madd(co(C.byGrid + 1), m2, seen));
  const flow3 = madd(share1, madd(now, e1, seen3), at(At.gridOwn, 16));
  set(At.change, 0, n01);
  set(At.change, 16, e1);
  set(At.gridChange, 0, m01);
  set(At.gridChange, 16, v128.shuffle<i64>(flow2, flow3, 0, 3));
}

/** Grid and plate at the guesses of n and m, in the channels that go on, from where they are without. */
// @ts-ignore: decorator
@inline
function place(isFirst: bool): void {
  const none = k(0);
  const n0 = at(At.guess, 0);
  const n1 = at(At.guess, 16);
  const nBefore0 = v128.shuffle<i64>(none, n0, 0, 2);
  const nBefore1 = between(n0, n1);
  const m0 = at(At.gridGuess, 0);
  const m1 = at(At.gridGuess, 16);
  const mBefore0 = v128.shuffle<i64>(none, m0, 0, 2);
  const mBefore1 = between(m0, m1);
  for (let output: usize = 0; output < 2; output++) {
    const taps = C.byValve + 4 * output;
    const gridTaps = C.byGrid + 4 * output;
    const free = At.freeGrid + 32 * output;
    const x0 = f32x4.add(at(free, 0), early(n0, nBefore0, taps));
    const x1 = f32x4.add(at(free, 16), late(n0, nBefore0, n1, nBefore1, taps));
    move(32 * output, 0, f32x4.add(x0, early(m0, mBefore0, gridTaps)), isFirst);
    move(32 * output, 16, f32x4.add(x1, late(m0, mBefore0, m1, mBefore1, gridTaps)), isFirst);
  }
}

/** One evaluation with the grid's current, and what it changes, from the guesses in W. */
// @ts-ignore: decorator
@inline
function iterate(isFirst: bool): void {
  place(isFirst);
  const inverse0 = evaluate(0, at(At.grid, 0), at(At.plate, 0), at(At.guess, 0), isFirst, true);
  const inverse1 = evaluate(16, at(At.grid, 16), at(At.plate, 16), at(At.guess, 16), isFirst, true);
  solveWithGrid(inverse0, inverse1);
  for (let o: usize = 0; o < 32; o += 16) {
    let change = at(At.change, o);
    let gridChange = at(At.gridChange, o);
    if (!isFirst) {
      change = v128.and(change, v128.load(W + At.active));
      gridChange = v128.and(gridChange, v128.load(W + At.active));
      set(At.change, o, change);
      set(At.gridChange, o, gridChange);
    }
    set(At.guess, o, f32x4.add(at(At.guess, o), change));
    set(At.gridGuess, o, f32x4.add(at(At.gridGuess, o), gridChange));
  }
}

/** The grid draws nothing: what the second evaluation begins with. */
function withoutGrid(): void {
  const none = k(0);
  for (let o: usize = 0; o < 32; o += 16) {
    set(At.gridGuess, o, none);
    set(At.gridChange, o, none);
  }
  set(At.gridCurrent, 0, none);
  set(At.gg, 0, none);
}

/** The first evaluation where a grid draws current. */
function evaluateWithGrid(): void {
  iterate(true);
}

/** The second evaluation and those after it, in the channels that need one; a channel that has come near is left alone. */
function again(): void {
  set(At.active, 0, i32x4.splat(-1));
  for (let i = 1; i < MOST_EVALUATIONS; i++) {
    let far = v128.or(farther(0), farther(16));
    far = v128.and(v128.or(far, v128.shuffle<i64>(far, far, 1, 0)), at(At.active, 0));
    if (!v128.any_true(far)) return;
    set(At.active, 0, far);
    iterate(false);
  }
}

/** Where the last change moved grid or plate by more than `NEAR`. */
// @ts-ignore: decorator
@inline
function farther(o: usize): v128 {
  const grid = f32x4.mul(at(At.gridChange, o), co(C.byGrid));
  return v128.or(fartherPlate(at(At.change, o)), f32x4.gt(absolute(grid), k(GRID_NEAR)));
}

// @ts-ignore: decorator
@inline
function fartherPlate(change: v128): v128 {
  // What is no number is far, too.
  return v128.not(f32x4.le(absolute(f32x4.mul(change, co(C.byValve + 4))), limit(Limit.near)));
}

/** A guess of n: by its slopes where it was evaluated last, as bent as at rest; `dg`, `dp`: how far from there. */
// @ts-ignore: decorator
@inline
function guessed(beyond: v128, gm: v128, gp: v128, dg: v128, dp: v128): v128 {
  const byGrid = madd(dp, co(C.bentByBoth), madd(dg, co(C.bentByGrid), gm));
  const byPlate = madd(dp, co(C.bentByPlate), gp);
  return f32x4.add(beyond, madd(dg, byGrid, f32x4.mul(dp, byPlate)));
}

/** The currents at rest by the arithmetic of the sound, so that silence stays silence. */
const stills = memory.data(2 * 16 + 32, 16);

// @ts-ignore: decorator
@inline
function stand(): void {
  v128.store(stills, plateCurrents(co(C.gridV), co(C.plateV), stills + 32));
  v128.store(stills, gridCurrents(co(C.gridV), stills + 32), 16);
}

/** The second half of a vector into the memory; what is no number is forgotten. */
// @ts-ignore: decorator
@inline
function keepPair(address: usize, x: v128): void {
  v128.store64_lane(address, v128.and(x, f32x4.lt(absolute(x), k(1e30))), 1);
}

/** Groups of four frames that are looked ahead over: what the input alone does to grid and plate in each of them. */
const AHEAD = 32;
const ahead = memory.data(32 * 64, 16);

/**
 * What the input does by itself, before anything that the valve adds: grid and plate of each group into `ahead`; into the
 * buffer, what goes beyond the input with the response on and nothing with it off.
 */
function lookAhead(buffer: usize, end: usize, s: usize, hasResponse: bool): void {
  const none = k(0);
  let x0 = v128.load(s, TriodeState.byInput);
  let x1 = v128.load(s, TriodeState.byInput + 16);
  let x2 = v128.load(s, TriodeState.byInput + 32);
  let target = ahead;
  for (let i = buffer; i < end; i += 32) {
    const u0 = f32x4.pmin(f32x4.pmax(v128.load(i), limit(Limit.least)), limit(Limit.most));
    const u1 = f32x4.pmin(f32x4.pmax(v128.load(i, 16), limit(Limit.least)), limit(Limit.most));
    const before0 = v128.shuffle<i64>(none, u0, 0, 2);
    const before1 = between(u0, u1);
    const z0 = narrow(x0);
    const z1 = narrow(x1);
    const z2 = narrow(x2);
    v128.store(target, f32x4.add(early(u0, before0, C.byInput), ofState(z0, z1, z2, C.byState)));
    v128.store(target, f32x4.add(late(u0, before0, u1, before1, C.byInput), ofState(z0, z1, z2, C.byState + 4)), 16);
    v128.store(target, f32x4.add(early(u0, before0, C.byInput + 4), ofState(z0, z1, z2, C.byState + 24)), 32);
    v128.store(target, f32x4.add(late(u0, before0, u1, before1, C.byInput + 4), ofState(z0, z1, z2, C.byState + 28)), 48);
    target += 64;
    if (hasResponse) {
      const out = co(C.out);
      const response = co(C.response);
      const y0 = f32x4.add(early(u0, before0, C.byInput + 8), ofState(z0, z1, z2, C.byState + 48));
      const y1 = f32x4.add(late(u0, before0, u1, before1, C.byInput + 8), ofState(z0, z1, z2, C.byState + 52));
      v128.store(i, f32x4.mul(response, f32x4.sub(f32x4.mul(out, y0), v128.load(i))));
      v128.store(i, f32x4.mul(response, f32x4.sub(f32x4.mul(out, y1), v128.load(i, 16))), 16);
    } else {
      v128.store(i, none);
      v128.store(i, none, 16);
    }
    const next0 = f64x2.add(carriedOn(x0, x1, x2, C.next, 0), f64x2.promote_low_f32x4(gathered(u0, u1, C.nextByInput)));
    const next1 = f64x2.add(carriedOn(x0, x1, x2, C.next, 1), f64x2.promote_low_f32x4(gathered(u0, u1, C.nextByInput + 8)));
    x2 = f64x2.add(carriedOn(x0, x1, x2, C.next, 2), f64x2.promote_low_f32x4(gathered(u0, u1, C.nextByInput + 16)));
    x0 = next0;
    x1 = next1;
  }
  v128.store(s, settled(x0), TriodeState.byInput);
  v128.store(s, settled(x1), TriodeState.byInput + 16);
  v128.store(s, settled(x2), TriodeState.byInput + 32);
}

/** Adds to the buffer what n and m do, group by group, each hearing those before it. */
function follow(buffer: usize, end: usize, s: usize): void {
  const none = k(0);
  let v0 = v128.load(s, TriodeState.byValve);
  let v1 = v128.load(s, TriodeState.byValve + 16);
  let v2 = v128.load(s, TriodeState.byValve + 32);
  // The same in single precision, as the last group left it.
  let z0 = pair(s + TriodeState.single);
  let z1 = pair(s + TriodeState.single + 8);
  let z2 = pair(s + TriodeState.single + 16);
  let grid = pair(s + TriodeState.grid);
  let plate = pair(s + TriodeState.plate);
  let beyond = pair(s + TriodeState.beyond);
  let gm = pair(s + TriodeState.gm);
  let gp = pair(s + TriodeState.gp);
  let gridCurrent = pair(s + TriodeState.gridCurrent);
  let gg = pair(s + TriodeState.gg);
  let free = ahead;
  for (let i = buffer; i < end; i += 32) {
    const freeGrid0 = fixed(At.freeGrid, 0, f32x4.add(v128.load(free), ofState(z0, z1, z2, C.byState)));
    const freePlate0 = fixed(At.freePlate, 0, f32x4.add(v128.load(free, 32), ofState(z0, z1, z2, C.byState + 24)));
    // n stays what it was where the valve was evaluated last, and follows grid and plate from there.
    const dg0 = f32x4.sub(madd(beyond, both(C.gridByHeld), freeGrid0), grid);
    const dp0 = f32x4.sub(madd(beyond, both(C.plateByHeld), freePlate0), plate);
    let n0 = fixed(At.guess, 0, guessed(beyond, gm, gp, dg0, dp0));
    const freeGrid1 = fixed(At.freeGrid, 16, f32x4.add(v128.load(free, 16), ofState(z0, z1, z2, C.byState + 4)));
    const freePlate1 = fixed(At.freePlate, 16, f32x4.add(v128.load(free, 48), ofState(z0, z1, z2, C.byState + 28)));
    free += 64;
    const dg1 = f32x4.sub(madd(beyond, both(C.gridByHeld + 4), freeGrid1), grid);
    const dp1 = f32x4.sub(madd(beyond, both(C.plateByHeld + 4), freePlate1), plate);
    let n1 = fixed(At.guess, 16, guessed(beyond, gm, gp, dg1, dp1));
    const guessBefore0 = v128.shuffle<i64>(none, n0, 0, 2);
    const guessBefore1 = between(n0, n1);
    const g0 = fixed(At.grid, 0, f32x4.add(freeGrid0, early(n0, guessBefore0, C.byValve)));
    const p0 = fixed(At.plate, 0, f32x4.add(freePlate0, early(n0, guessBefore0, C.byValve + 4)));
    const g1 = fixed(At.grid, 16, f32x4.add(freeGrid1, late(n0, guessBefore0, n1, guessBefore1, C.byValve)));
    const p1 = fixed(At.plate, 16, f32x4.add(freePlate1, late(n0, guessBefore0, n1, guessBefore1, C.byValve + 4)));
    const highest = f32x4.add(f32x4.pmax(g0, g1), co(C.gridV));
    let isFar: bool;
    let drew = v128.any_true(v128.or(v128.or(conducts(highest), gridCurrent), co(C.gg)));
    if (drew) {
      set(At.gridGuess, 0, madd(dg0, gg, gridCurrent));
      set(At.gridGuess, 16, madd(dg1, gg, gridCurrent));
      evaluateWithGrid();
      isFar = v128.any_true(v128.or(farther(0), farther(16)));
    } else {
      const inverse0 = evaluate(0, g0, p0, n0, true, false);
      const inverse1 = evaluate(16, g1, p1, n1, true, false);
      const change1 = solve(inverse0, inverse1);
      const change0 = at(At.change, 0);
      n0 = f32x4.add(n0, change0);
      n1 = f32x4.add(n1, change1);
      grid = upper(g1);
      plate = upper(p1);
      isFar = v128.any_true(v128.or(fartherPlate(change0), fartherPlate(change1)));
      if (isFar) {
        set(At.change, 16, change1);
        set(At.guess, 0, n0);
        set(At.guess, 16, n1);
        withoutGrid();
        drew = true;
      }
    }
    let m0 = none;
    let m1 = none;
    if (drew) {
      if (isFar) again();
      gridCurrent = upper(at(At.gridCurrent, 0));
      gg = upper(at(At.gg, 0));
      grid = upper(at(At.grid, 16));
      plate = upper(at(At.plate, 16));
      n0 = at(At.guess, 0);
      n1 = at(At.guess, 16);
      m0 = at(At.gridGuess, 0);
      m1 = at(At.gridGuess, 16);
    }
    beyond = upper(at(At.beyond, 0));
    gm = upper(at(At.gm, 0));
    gp = upper(at(At.gp, 0));

    let byValve0 = gathered(n0, n1, C.nextByValve);
    let byValve1 = gathered(n0, n1, C.nextByValve + 8);
    let byValve2 = gathered(n0, n1, C.nextByValve + 16);
    const nBefore0 = v128.shuffle<i64>(none, n0, 0, 2);
    const taps = C.byValve + 4 * Voltage.out;
    const ofZ = C.byState + 24 * Voltage.out;
    fixed(At.gathered, 0, byValve0);
    fixed(At.gathered, 16, byValve1);
    fixed(At.gathered, 32, byValve2);
    let y0 = f32x4.add(early(n0, nBefore0, taps), ofState(z0, z1, z2, ofZ));
    let y1 = f32x4.add(late(n0, nBefore0, n1, between(n0, n1), taps), ofState(z0, z1, z2, ofZ + 4));
    if (drew) {
      const mBefore0 = v128.shuffle<i64>(none, m0, 0, 2);
      const tapsOfGrid = C.byGrid + 4 * Voltage.out;
      y0 = f32x4.add(y0, early(m0, mBefore0, tapsOfGrid));
      y1 = f32x4.add(y1, late(m0, mBefore0, m1, between(m0, m1), tapsOfGrid));
      byValve0 = f32x4.add(byValve0, gathered(m0, m1, C.nextByGrid));
      byValve1 = f32x4.add(byValve1, gathered(m0, m1, C.nextByGrid + 8));
      byValve2 = f32x4.add(byValve2, gathered(m0, m1, C.nextByGrid + 16));
    }
    const out = co(C.out);
    v128.store(i, audible(madd(out, y0, v128.load(i))));
    v128.store(i, audible(madd(out, y1, v128.load(i, 16))), 16);
    const next0 = carriedOn(v0, v1, v2, C.next, 0);
    const next1 = carriedOn(v0, v1, v2, C.next, 1);
    const next2 = carriedOn(v0, v1, v2, C.next, 2);
    // What everything waits for, n's part, is added last.
    z0 = f32x4.add(narrow(next0), byValve0);
    z1 = f32x4.add(narrow(next1), byValve1);
    z2 = f32x4.add(narrow(next2), byValve2);
    v0 = f64x2.add(next0, f64x2.promote_low_f32x4(byValve0));
    v1 = f64x2.add(next1, f64x2.promote_low_f32x4(byValve1));
    v2 = f64x2.add(next2, f64x2.promote_low_f32x4(byValve2));
  }
  v128.store(s, settled(v0), TriodeState.byValve);
  v128.store(s, settled(v1), TriodeState.byValve + 16);
  v128.store(s, settled(v2), TriodeState.byValve + 32);
  keepPair(s + TriodeState.single, z0);
  keepPair(s + TriodeState.single + 8, z1);
  keepPair(s + TriodeState.single + 16, z2);
  keepPair(s + TriodeState.grid, grid);
  keepPair(s + TriodeState.plate, plate);
  keepPair(s + TriodeState.beyond, beyond);
  keepPair(s + TriodeState.gm, gm);
  keepPair(s + TriodeState.gp, gp);
  keepPair(s + TriodeState.gridCurrent, gridCurrent);
  keepPair(s + TriodeState.gg, gg);
}

/** The memory is let go where it becomes denormal on its way to nothing, at the end of a pass; near there it isn't heard. */
// @ts-ignore: decorator
@inline
function audible(y: v128): v128 {
  return v128.and(y, f32x4.gt(absolute(y), limit(Limit.heard)));
}

/** Replaces `frames` frames (a multiple of 4) of volts at the input by what the circuit adds to them. */
export function triode(buffer: usize, frames: i32, c0: usize, c1: usize, s: usize): void {
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
