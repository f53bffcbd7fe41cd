/**
 * A triode in common cathode: source resistance and coupling capacitor to the grid, grid leak, plate resistor to the
 * supply, cathode resistor with a bypass capacitor, Miller capacitance from plate to grid. The plate's current is
 * Koren's (1996): E₁ = (Vp/KP)·ln(1 + exp(KP·(1/MU + Vg/√(KVB + Vp²)))), Ip = 2·E₁^EX/KG1; above about 0 V the grid
 * conducts through RGI. Volts, mA, kΩ, and µF for capacitances throughout, so that conductances are mS and times ms.
 *
 * Everything is a deviation from the working point at rest, and currents are computed as deviations too, with full
 * relative precision: silence stays silence, and small signals keep theirs.
 *
 * The circuit is solved implicitly (trapezoidal rule), four frames at once. A guess follows the last frame's slopes; at it
 * the valve is evaluated in every lane; with its slopes there the circuit is linear, and a recursion of one number, that
 * of the fast Miller capacitance, runs through the four frames; capacitors that are slow against a frame follow from the
 * currents that were just found. Two evaluations, three solutions; the error that is left is that of the fourth power of
 * the guess's.
 */
import { MAX_COEFFICIENTS, input, put } from '../lanes';
import { absolute, k, madd } from '../math';
import { expm1Wide, log1pWide } from '../wide';

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

/** Memory in bytes: capacitors and currents at the last frame, and the three numbers of the linearisation. */
const enum TriodeState {
  cathode = 0,
  capacitor = 16,
  cathodeCurrent = 32,
  capacitorCurrent = 40,
  miller = 48,
  grid = 56,
  plate = 64,
  current = 72,
  gridCurrent = 80,
  gm = 88,
  gp = 96,
  gg = 104,
  linear = 112,
  bytes = 160,
}

// Koren's default set for a 12AX7, MU 100, EX 1.4, KG1 1060, KP 600, KVB 300; currents in mA.
const MU: f64 = 100;
const EX: f64 = 1.4;
const KG1: f64 = 1.06;
const KP: f64 = 600;
const KVB: f64 = 300;
/** Resistance of the conducting grid, kΩ, and the width of its onset, V. */
const RGI: f64 = 2;
const ONSET: f64 = 0.05;
/** Grid leak, kΩ. */
const LEAK: f64 = 1000;
/** Capacitance from grid to plate, 1.7 pF, in µF. */
const MILLER: f64 = 1.7e-6;

/** What drives the grid is kept within this, V: the source resistance turns more into next to nothing. */
const MOST: f32 = 300;

/** Most times that the valve is evaluated for four frames; one is enough for mild signals. */
const MOST_EVALUATIONS = 8;
/** So near, V, an evaluation has to be to what was solved with it: what is left is about 1e-6 V at the plate. */
const GRID_NEAR: f32 = 1e-4;
const PLATE_NEAR: f32 = 0.015;

/** Below this share of its onset the grid draws nothing. */
const LEAST_ONSET: f32 = -16;

const enum C {
  sourceG,
  inputG,
  outputG,
  millerG,
  cathodeG,
  cathodeStep,
  capacitorStep,
  current,
  plateV,
  gridV,
  root,
  sigma,
  soft,
  gm,
  gp,
  out,
  response,
  inverseRoot,
  inverseSoft,
  inversePlateV,
  /** What the linearisation's plate takes of its three numbers: four frames, each twice. */
  plateOf = 20,
  /** And of the drive of its own frame and those before it. */
  plateOfDrive = 44,
  /** What the three numbers become of themselves, and of the drive of the four frames. */
  next = 48,
  nextOfDrive = 57,
}

/** Plate current, mA. */
function koren(vg: f64, vp: f64): f64 {
  if (vp <= 0) return 0;
  const x = KP * (1 / MU + vg / Math.sqrt(KVB + vp * vp));
  const e1 = (vp / KP) * (x > 40 ? x : Math.log1p(Math.exp(x)));
  return (2 * Math.pow(e1, EX)) / KG1;
}

export function prepareTriode(v: usize, c: usize, rate: f64): void {
  const supply = input(v, Input.supply);
  const plate = input(v, Input.plate);
  const cathode = input(v, Input.cathode);
  // At rest: the current that the valve draws at the voltages that this current leaves it.
  let low: f64 = 0;
  let high = supply / (plate + cathode);
  for (let i = 0; i < 60; i++) {
    const middle = 0.5 * (low + high);
    if (koren(-middle * cathode, supply - middle * (plate + cathode)) > middle) low = middle;
    else high = middle;
  }
  const current = 0.5 * (low + high);
  const vg = -current * cathode;
  const vp = supply - current * (plate + cathode);
  const root = Math.sqrt(KVB + vp * vp);
  const x = KP * (1 / MU + vg / root);
  const soft = Math.log1p(Math.exp(x));
  const sigma = 1 / (1 + Math.exp(-x));
  const slope = (sigma * KP) / (root * soft);
  const gm = EX * current * slope;
  const gp = EX * current * (1 / vp - (slope * vg * vp) / (root * root));
  const source = input(v, Input.source);
  // Milliseconds between frames.
  const h = 1000 / rate;
  const miller = (2 * MILLER) / h;
  put(c, C.sourceG, 1 / source);
  put(c, C.inputG, 1 / source + 1 / LEAK + miller);
  put(c, C.outputG, 1 / plate + miller);
  put(c, C.millerG, miller);
  put(c, C.cathodeG, 1 / cathode);
  put(c, C.cathodeStep, (0.5 * h) / input(v, Input.bypass));
  put(c, C.capacitorStep, (0.5 * h) / (1e-3 * input(v, Input.capacitor)));
  put(c, C.current, current);
  put(c, C.plateV, vp);
  put(c, C.gridV, vg);
  put(c, C.root, root);
  put(c, C.sigma, sigma);
  put(c, C.soft, soft);
  put(c, C.gm, gm);
  put(c, C.gp, gp);
  // 1 over the gain in the middle of the band, where the bypass is a short and the Miller capacitance nothing.
  put(c, C.out, -((1 / plate + gp) * (source + LEAK)) / (gm * LEAK));
  put(c, C.inverseRoot, 1 / root);
  put(c, C.inverseSoft, 1 / soft);
  put(c, C.inversePlateV, 1 / vp);
  put(c, C.response, input(v, Input.response));
  linearise(c);
}

// The linearisation's unknowns at a frame, grid, plate, cathode and capacitor, and what they follow from: its three numbers
// and the drive. One row an equation.
const rows = memory.data(4 * 8 * 8, 8);
const powers = memory.data(3 * 8, 8);

/**
 * The linearisation at rest, by the same rule, four frames at once. Its numbers are those that the trapezoidal rule
 * carries from frame to frame: z₁ = cathode + step·flow, z₂ = capacitor + step·flow, z₃ = the Miller capacitance's.
 */
function linearise(c: usize): void {
  const gm = load<f64>(c + 8 * C.gm);
  const gp = load<f64>(c + 8 * C.gp);
  const sourceG = load<f64>(c + 8 * C.sourceG);
  const miller = load<f64>(c + 8 * C.millerG);
  const cathodeStep = load<f64>(c + 8 * C.cathodeStep);
  const capacitorStep = load<f64>(c + 8 * C.capacitorStep);
  memory.fill(rows, 0, 4 * 8 * 8);
  // Currents into the grid, into the plate; the cathode's and the coupling capacitor's own.
  row(0, load<f64>(c + 8 * C.inputG), -miller, 0, sourceG, 0, 0, 1, sourceG);
  row(1, gm - miller, load<f64>(c + 8 * C.outputG) + gp, -gm - gp, 0, 0, 0, -1, 0);
  row(2, -cathodeStep * gm, -cathodeStep * gp, 1 + cathodeStep * (gm + gp + load<f64>(c + 8 * C.cathodeG)), 0, 1, 0, 0, 0);
  row(3, capacitorStep * sourceG, 0, 0, 1 + capacitorStep * sourceG, 0, 1, 0, capacitorStep * sourceG);
  eliminate();
  // z′ = 2·value − z, and 2·G·(grid − plate) − z₃ for the Miller capacitance.
  for (let cause = 0; cause < 4; cause++) {
    const own = C.next + cause;
    if (cause < 3) {
      put(c, own, 2 * solution(2, cause) - (cause == 0 ? 1 : 0));
      put(c, own + 3, 2 * solution(3, cause) - (cause == 1 ? 1 : 0));
      put(c, own + 6, 2 * miller * (solution(0, cause) - solution(1, cause)) - (cause == 2 ? 1 : 0));
      continue;
    }
    put(c, C.nextOfDrive + 3, 2 * solution(2, 3));
    put(c, C.nextOfDrive + 7, 2 * solution(3, 3));
    put(c, C.nextOfDrive + 11, 2 * miller * (solution(0, 3) - solution(1, 3)));
  }
  // Four frames: the plate by powers of the step, then the step's fourth power.
  for (let n = 0; n < 3; n++) store<f64>(powers + 8 * n, solution(1, n));
  put(c, C.plateOfDrive, solution(1, 3));
  for (let frame = 0; frame < 4; frame++) {
    let ofDrive: f64 = 0;
    for (let n = 0; n < 3; n++) {
      const value = load<f64>(powers + 8 * n);
      // Left and right of a frame beside each other; frames 0 and 1 in one vector, 2 and 3 in the next.
      const slot = C.plateOf + 8 * n + 2 * frame;
      put(c, slot, value);
      put(c, slot + 1, value);
      ofDrive += value * load<f64>(c + 8 * (C.nextOfDrive + 4 * n + 3));
    }
    if (frame < 3) put(c, C.plateOfDrive + frame + 1, ofDrive);
    stepRow(c);
  }
  for (let back = 2; back >= 0; back--) {
    for (let n = 0; n < 3; n++) {
      let sum: f64 = 0;
      for (let m = 0; m < 3; m++) {
        sum += load<f64>(c + 8 * (C.next + 3 * n + m)) * load<f64>(c + 8 * (C.nextOfDrive + 4 * m + back + 1));
      }
      put(c, C.nextOfDrive + 4 * n + back, sum);
    }
  }
  squareNext(c);
  squareNext(c);
}

function row(n: usize, g: f64, p: f64, k: f64, v: f64, z1: f64, z2: f64, z3: f64, u: f64): void {
  const at = rows + 64 * n;
  store<f64>(at, g, 0);
  store<f64>(at, p, 8);
  store<f64>(at, k, 16);
  store<f64>(at, v, 24);
  store<f64>(at, z1, 32);
  store<f64>(at, z2, 40);
  store<f64>(at, z3, 48);
  store<f64>(at, u, 56);
}

/** Unknown `n` by what it follows from. */
function solution(n: usize, cause: usize): f64 {
  return load<f64>(rows + 64 * n + 32 + 8 * cause);
}

/** Gauss and Jordan; the diagonal is never small. */
function eliminate(): void {
  for (let n: usize = 0; n < 4; n++) {
    const own = rows + 64 * n;
    const pivot = 1 / load<f64>(own + 8 * n);
    for (let i: usize = 0; i < 8; i++) store<f64>(own + 8 * i, load<f64>(own + 8 * i) * pivot);
    for (let m: usize = 0; m < 4; m++) {
      if (m == n) continue;
      const other = rows + 64 * m;
      const share = load<f64>(other + 8 * n);
      for (let i: usize = 0; i < 8; i++) {
        store<f64>(other + 8 * i, load<f64>(other + 8 * i) - share * load<f64>(own + 8 * i));
      }
    }
  }
}

/** `powers` ← powers · next. */
function stepRow(c: usize): void {
  const at = c + 8 * C.next;
  const a = load<f64>(powers);
  const b = load<f64>(powers + 8);
  const d = load<f64>(powers + 16);
  for (let m: usize = 0; m < 3; m++) {
    const column = at + 8 * m;
    store<f64>(powers + 8 * m, a * load<f64>(column) + b * load<f64>(column, 24) + d * load<f64>(column, 48));
  }
}

/** next ← next · next. */
function squareNext(c: usize): void {
  const at = c + 8 * C.next;
  for (let n: usize = 0; n < 3; n++) {
    for (let m: usize = 0; m < 3; m++) {
      let sum: f64 = 0;
      for (let i: usize = 0; i < 3; i++) sum += load<f64>(at + 8 * (3 * n + i)) * load<f64>(at + 8 * (3 * i + m));
      store<f64>(rows + 8 * (3 * n + m), sum);
    }
  }
  memory.copy(at, rows, 72);
}

// Quantities of the four frames at hand: two vectors each, left and right of two frames in one.
const enum At {
  drive = 0,
  grid = 32,
  plate = 64,
  cathode = 96,
  capacitor = 128,
  current = 160,
  gridCurrent = 192,
  gm = 224,
  gp = 256,
  gg = 288,
  gridAt = 320,
  plateAt = 352,
  gridByMiller = 384,
  plateByMiller = 416,
  keep = 448,
  make = 480,
  sum = 512,
  active = 544,
  bytes = 560,
}

const W = memory.data(At.bytes, 16);
/** Bytes of the coefficients in double precision; those in single follow. */
const WIDE: usize = 8 * MAX_COEFFICIENTS;
/** Coefficients at this group of frames, when they move. */
const moving = memory.data(12 * 72, 16);

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

/** Sets it in the channels that go on; the first time that is both. */
// @ts-ignore: decorator
@inline
function move(n: usize, o: usize, x: v128, isFirst: bool): void {
  if (isFirst) v128.store(W + n + o, x);
  else v128.store(W + n + o, v128.bitselect(x, v128.load(W + n + o), v128.load(W + At.active)));
}

// @ts-ignore: decorator
@inline
function co(c: usize, n: usize): v128 {
  return v128.load32_splat(c + (n << 2));
}

/** A pair of numbers of the memory, in both halves. */
// @ts-ignore: decorator
@inline
function pair(address: usize): v128 {
  return v128.load64_splat(address);
}

// @ts-ignore: decorator
@inline
function upper(x: v128): v128 {
  return v128.shuffle<i64>(x, x, 1, 1);
}

/** The second half of `a` and the first of `b`. */
// @ts-ignore: decorator
@inline
function between(a: v128, b: v128): v128 {
  return v128.shuffle<i64>(a, b, 1, 2);
}

/** A slow double-precision pair as a single-precision one, in both halves. */
// @ts-ignore: decorator
@inline
function narrow(address: usize): v128 {
  const x = f32x4.demote_f64x2_zero(v128.load(address));
  return v128.shuffle<i64>(x, x, 0, 0);
}

/** Adds a single-precision pair to a slow one; what has decayed to nothing becomes nothing. */
// @ts-ignore: decorator
@inline
function accumulate(address: usize, change: v128): void {
  const x = f64x2.add(v128.load(address), f64x2.promote_low_f32x4(change));
  v128.store(address, v128.and(x, f64x2.gt(f64x2.abs(x), f64x2.splat(1e-15))));
}

/** Grid and plate of all four frames, the valve being linear around where it was last evaluated. */
// @ts-ignore: decorator
@inline
function solve(c: usize, s: usize): void {
  const millerG = co(c, C.millerG);
  const twice = f32x4.add(millerG, millerG);
  for (let o: usize = 0; o < 32; o += 16) {
    const gm = at(At.gm, o);
    const gp = at(At.gp, o);
    const gg = at(At.gg, o);
    const cathode = at(At.cathode, o);
    const a = f32x4.add(co(c, C.inputG), gg);
    const d = f32x4.add(co(c, C.outputG), gp);
    const b = f32x4.sub(gm, millerG);
    const inverse = f32x4.div(k(1), madd(a, d, f32x4.mul(millerG, b)));
    const gridAt = f32x4.add(at(At.gridAt, o), cathode);
    const plateAt = f32x4.add(at(At.plateAt, o), cathode);
    // What grid and plate would draw at 0 V by these slopes.
    const idle = f32x4.sub(at(At.current, o), madd(gm, gridAt, f32x4.mul(gp, plateAt)));
    const gridIdle = f32x4.sub(at(At.gridCurrent, o), f32x4.mul(gg, gridAt));
    const drive = f32x4.sub(at(At.drive, o), at(At.capacitor, o));
    const r1 = f32x4.sub(f32x4.mul(drive, co(c, C.sourceG)), gridIdle);
    const r2 = f32x4.neg(idle);
    const grid = f32x4.mul(madd(r1, d, f32x4.mul(millerG, r2)), inverse);
    const plate = f32x4.mul(f32x4.sub(f32x4.mul(a, r2), f32x4.mul(b, r1)), inverse);
    const gridByMiller = f32x4.mul(f32x4.sub(d, millerG), inverse);
    const plateByMiller = f32x4.neg(f32x4.mul(f32x4.add(a, b), inverse));
    set(At.grid, o, grid);
    set(At.plate, o, plate);
    set(At.gridByMiller, o, gridByMiller);
    set(At.plateByMiller, o, plateByMiller);
    set(At.keep, o, f32x4.sub(f32x4.mul(twice, f32x4.sub(gridByMiller, plateByMiller)), k(1)));
    set(At.make, o, f32x4.mul(twice, f32x4.sub(grid, plate)));
  }
  // q ← keep·q + make, frame by frame, both channels at once.
  const q0 = pair(s + TriodeState.miller);
  const q1 = madd(at(At.keep, 0), q0, at(At.make, 0));
  const q2 = upper(madd(at(At.keep, 0), v128.shuffle<i64>(q1, q1, 0, 0), at(At.make, 0)));
  const q3 = madd(at(At.keep, 16), q2, at(At.make, 16));
  const early = v128.shuffle<i64>(q0, q1, 0, 2);
  const late = v128.shuffle<i64>(q2, q3, 0, 2);
  set(At.grid, 0, madd(at(At.gridByMiller, 0), early, at(At.grid, 0)));
  set(At.plate, 0, madd(at(At.plateByMiller, 0), early, at(At.plate, 0)));
  set(At.grid, 16, madd(at(At.gridByMiller, 16), late, at(At.grid, 16)));
  set(At.plate, 16, madd(at(At.plateByMiller, 16), late, at(At.plate, 16)));
  // What the next four frames begin with; only the last solution's counts.
  set(At.sum, 16, upper(madd(at(At.keep, 16), late, at(At.make, 16))));
}

/** Currents of the valve, as deviations from those at rest, and its slopes, at the voltages that were just found. */
// @ts-ignore: decorator
@inline
function evaluate(c: usize, still: v128, isFirst: bool): void {
  for (let o: usize = 0; o < 32; o += 16) {
    const cathode = at(At.cathode, o);
    const vg = f32x4.sub(at(At.grid, o), cathode);
    const rest = co(c, C.plateV);
    const volts = f32x4.pmax(f32x4.add(rest, f32x4.sub(at(At.plate, o), cathode)), k(1));
    const vp = f32x4.sub(volts, rest);
    const root0 = co(c, C.root);
    const square = madd(volts, volts, k(<f32>KVB));
    const root = f32x4.sqrt(square);
    const both = f32x4.add(root, root0);
    const shared = f32x4.div(k(1), f32x4.mul(root, both));
    const inverse = f32x4.mul(shared, both);
    // 1/√(KVB + Vp²) less what it is at rest.
    const shift = f32x4.neg(
      f32x4.mul(f32x4.mul(vp, f32x4.add(volts, rest)), f32x4.mul(shared, co(c, C.inverseRoot))),
    );
    const gridV = co(c, C.gridV);
    let dx = f32x4.mul(k(<f32>KP), madd(vg, inverse, f32x4.mul(gridV, shift)));
    dx = f32x4.pmin(f32x4.pmax(dx, k(-60)), k(60));
    const grown = expm1Wide(dx);
    const sigma0 = co(c, C.sigma);
    const m = f32x4.mul(sigma0, grown);
    const dSoft = log1pWide(m);
    const soft0 = co(c, C.soft);
    const b = f32x4.mul(dSoft, co(c, C.inverseSoft));
    const a = f32x4.mul(vp, co(c, C.inversePlateV));
    const ratio = f32x4.pmax(madd(a, b, f32x4.add(a, b)), k(-0.999999));
    const more = expm1Wide(f32x4.mul(k(<f32>EX), log1pWide(ratio)));
    const current0 = co(c, C.current);
    const current = f32x4.mul(current0, more);
    const soft = f32x4.pmax(f32x4.add(soft0, dSoft), k(1e-7));
    // σ/soft, σ = σ₀·(1 + grown)/(1 + m), and 1/volts, by one division.
    const lower = f32x4.mul(f32x4.add(k(1), m), soft);
    const quotient = f32x4.div(k(1), f32x4.mul(lower, volts));
    const upperPart = f32x4.mul(f32x4.mul(sigma0, f32x4.add(k(1), grown)), f32x4.mul(k(<f32>KP), inverse));
    const steep = f32x4.mul(upperPart, f32x4.mul(quotient, volts));
    const power = f32x4.mul(k(<f32>EX), f32x4.add(current, current0));
    const bent = f32x4.mul(f32x4.mul(steep, f32x4.add(gridV, vg)), f32x4.mul(volts, f32x4.mul(inverse, inverse)));
    move(At.gridAt, o, vg, isFirst);
    move(At.plateAt, o, vp, isFirst);
    move(At.current, o, current, isFirst);
    move(At.gm, o, f32x4.mul(power, steep), isFirst);
    move(At.gp, o, f32x4.mul(power, f32x4.sub(f32x4.mul(quotient, lower), bent)), isFirst);
    const onset = f32x4.mul(f32x4.add(gridV, vg), k(<f32>(1 / ONSET)));
    const conducts = f32x4.gt(onset, k(LEAST_ONSET));
    if (v128.any_true(conducts)) {
      const limited = f32x4.pmin(f32x4.pmax(onset, k(LEAST_ONSET)), k(60));
      const e = f32x4.add(expm1Wide(limited), k(1));
      const above = f32x4.pmax(f32x4.sub(onset, k(60)), k(0));
      const flow = v128.and(f32x4.add(log1pWide(e), above), conducts);
      move(At.gridCurrent, o, f32x4.mul(f32x4.sub(flow, still), k(<f32>(ONSET / RGI))), isFirst);
      move(At.gg, o, v128.and(f32x4.mul(f32x4.div(e, f32x4.add(k(1), e)), k(<f32>(1 / RGI))), conducts), isFirst);
    } else {
      move(At.gridCurrent, o, f32x4.mul(still, k(<f32>(-ONSET / RGI))), isFirst);
      move(At.gg, o, k(0), isFirst);
    }
  }
}

/** What flows into the cathode's and the coupling capacitor in each frame becomes their voltages in it. */
// @ts-ignore: decorator
@inline
function charge(c: usize, s: usize, isFirst: bool): void {
  const i0 = cathodeFlow(c, 0);
  const i1 = cathodeFlow(c, 16);
  const start = narrow(s + TriodeState.cathode);
  integrate(At.cathode, start, pair(s + TriodeState.cathodeCurrent), i0, i1, co(c, C.cathodeStep), isFirst);
  const j0 = capacitorFlow(c, 0);
  const j1 = capacitorFlow(c, 16);
  const from = narrow(s + TriodeState.capacitor);
  integrate(At.capacitor, from, pair(s + TriodeState.capacitorCurrent), j0, j1, co(c, C.capacitorStep), isFirst);
}

// @ts-ignore: decorator
@inline
function cathodeFlow(c: usize, o: usize): v128 {
  const current = f32x4.add(at(At.current, o), at(At.gridCurrent, o));
  return f32x4.sub(current, f32x4.mul(at(At.cathode, o), co(c, C.cathodeG)));
}

// @ts-ignore: decorator
@inline
function capacitorFlow(c: usize, o: usize): v128 {
  const drop = f32x4.sub(f32x4.sub(at(At.drive, o), at(At.capacitor, o)), at(At.grid, o));
  return f32x4.mul(drop, co(c, C.sourceG));
}

/** Trapezoidal sums of four flows, `before` being the one before them. */
// @ts-ignore: decorator
@inline
function integrate(target: usize, start: v128, before: v128, f0: v128, f1: v128, step: v128, isFirst: bool): void {
  const t0 = f32x4.add(f0, between(before, f0));
  const t1 = f32x4.add(f1, between(f0, f1));
  const none = k(0);
  const p0 = f32x4.add(t0, v128.shuffle<i64>(none, t0, 0, 2));
  const p1 = f32x4.add(f32x4.add(t1, v128.shuffle<i64>(none, t1, 0, 2)), upper(p0));
  move(target, 0, madd(p0, step, start), isFirst);
  move(target, 16, madd(p1, step, start), isFirst);
}

/**
 * True when in both channels the voltages are so near those that the valve was evaluated at that its slopes there said it
 * all. A channel that has come there is left as it is, so that neither hears how long the other takes.
 */
// @ts-ignore: decorator
@inline
function isSettled(): bool {
  let far = k(0);
  for (let o: usize = 0; o < 32; o += 16) {
    const cathode = at(At.cathode, o);
    const vg = f32x4.sub(f32x4.sub(at(At.grid, o), cathode), at(At.gridAt, o));
    const vp = f32x4.sub(f32x4.sub(at(At.plate, o), cathode), at(At.plateAt, o));
    far = v128.or(far, v128.or(f32x4.gt(absolute(vg), k(GRID_NEAR)), f32x4.gt(absolute(vp), k(PLATE_NEAR))));
  }
  // A channel goes on while any of its four frames is far.
  far = v128.or(far, v128.shuffle<i64>(far, far, 1, 0));
  const active = v128.and(far, at(At.active, 0));
  set(At.active, 0, active);
  return !v128.any_true(active);
}

/** Four frames of the circuit from the drive in W; grid, plate and memory follow. */
// @ts-ignore: decorator
@inline
function advance(c: usize, s: usize, still: v128): void {
  const cathode = narrow(s + TriodeState.cathode);
  const capacitor = narrow(s + TriodeState.capacitor);
  const early = f32x4(2, 2, 4, 4);
  const late = f32x4(6, 6, 8, 8);
  const rise = f32x4.mul(pair(s + TriodeState.cathodeCurrent), co(c, C.cathodeStep));
  const fill = f32x4.mul(pair(s + TriodeState.capacitorCurrent), co(c, C.capacitorStep));
  set(At.cathode, 0, madd(rise, early, cathode));
  set(At.cathode, 16, madd(rise, late, cathode));
  set(At.capacitor, 0, madd(fill, early, capacitor));
  set(At.capacitor, 16, madd(fill, late, capacitor));
  for (let o: usize = 0; o < 32; o += 16) {
    set(At.gridAt, o, pair(s + TriodeState.grid));
    set(At.plateAt, o, pair(s + TriodeState.plate));
    set(At.current, o, pair(s + TriodeState.current));
    set(At.gridCurrent, o, pair(s + TriodeState.gridCurrent));
    set(At.gm, o, pair(s + TriodeState.gm));
    set(At.gp, o, pair(s + TriodeState.gp));
    set(At.gg, o, pair(s + TriodeState.gg));
  }
  solve(c, s);
  evaluate(c, still, true);
  charge(c, s, true);
  solve(c, s);
  set(At.active, 0, i32x4.splat(-1));
  for (let i = 1; i < MOST_EVALUATIONS && !isSettled(); i++) {
    evaluate(c, still, false);
    charge(c, s, false);
    solve(c, s);
  }
  // The currents at what was found last, by the slopes that it was found with.
  for (let o: usize = 0; o < 32; o += 16) {
    const vg = f32x4.sub(at(At.grid, o), at(At.cathode, o));
    const vp = f32x4.sub(at(At.plate, o), at(At.cathode, o));
    const dg = f32x4.sub(vg, at(At.gridAt, o));
    const dp = f32x4.sub(vp, at(At.plateAt, o));
    set(At.current, o, f32x4.add(at(At.current, o), madd(at(At.gm, o), dg, f32x4.mul(at(At.gp, o), dp))));
    set(At.gridCurrent, o, madd(at(At.gg, o), dg, at(At.gridCurrent, o)));
    set(At.gridAt, o, vg);
    set(At.plateAt, o, vp);
  }
  charge(c, s, true);
  keep(s + TriodeState.cathodeCurrent, cathodeFlow(c, 16));
  keep(s + TriodeState.capacitorCurrent, capacitorFlow(c, 16));
  accumulate(s + TriodeState.cathode, upper(f32x4.sub(at(At.cathode, 16), cathode)));
  accumulate(s + TriodeState.capacitor, upper(f32x4.sub(at(At.capacitor, 16), capacitor)));
  v128.store64_lane(s + TriodeState.miller, audible(at(At.sum, 16)), 0);
  keep(s + TriodeState.grid, at(At.gridAt, 16));
  keep(s + TriodeState.plate, at(At.plateAt, 16));
  keep(s + TriodeState.current, at(At.current, 16));
  keep(s + TriodeState.gridCurrent, at(At.gridCurrent, 16));
  keep(s + TriodeState.gm, at(At.gm, 16));
  keep(s + TriodeState.gp, at(At.gp, 16));
  keep(s + TriodeState.gg, at(At.gg, 16));
}

/** The last frame's pair into the memory. */
// @ts-ignore: decorator
@inline
function keep(address: usize, x: v128): void {
  v128.store64_lane(address, audible(x), 1);
}

/** Nothing where it is so little that it would become denormal on its way to nothing. */
// @ts-ignore: decorator
@inline
function audible(x: v128): v128 {
  return v128.and(x, f32x4.gt(absolute(x), k(1e-18)));
}

/** The plate of the linearisation over the four frames of the drive in W, into `At.grid`, which is done with. */
// @ts-ignore: decorator
@inline
function advanceLinear(wide: usize, c: usize, s: usize): void {
  const u0 = at(At.drive, 0);
  const u1 = at(At.drive, 16);
  const none = k(0);
  const before0 = v128.shuffle<i64>(none, u0, 0, 2);
  const before1 = between(u0, u1);
  let p0 = madd(u0, co(c, C.plateOfDrive), f32x4.mul(before0, co(c, C.plateOfDrive + 1)));
  let p1 = madd(u1, co(c, C.plateOfDrive), f32x4.mul(before1, co(c, C.plateOfDrive + 1)));
  p1 = madd(u0, co(c, C.plateOfDrive + 2), madd(before0, co(c, C.plateOfDrive + 3), p1));
  for (let n: usize = 0; n < 3; n++) {
    const z = narrow(s + TriodeState.linear + 16 * n);
    const row = c + 4 * C.plateOf + 32 * n;
    p0 = madd(z, v128.load(row), p0);
    p1 = madd(z, v128.load(row, 16), p1);
  }
  set(At.grid, 0, p0);
  set(At.grid, 16, p1);
  const z1 = v128.load(s + TriodeState.linear);
  const z2 = v128.load(s + TriodeState.linear, 16);
  const z3 = v128.load(s + TriodeState.linear, 32);
  const d0 = f64x2.promote_low_f32x4(u0);
  const d1 = f64x2.promote_low_f32x4(upper(u0));
  const d2 = f64x2.promote_low_f32x4(u1);
  const d3 = f64x2.promote_low_f32x4(upper(u1));
  for (let n: usize = 0; n < 3; n++) {
    const own = wide + 8 * C.next + 24 * n;
    const ofDrive = wide + 8 * C.nextOfDrive + 32 * n;
    const kept = f64x2.add(times(z1, own), f64x2.add(times(z2, own + 8), times(z3, own + 16)));
    const early = f64x2.add(times(d0, ofDrive), times(d1, ofDrive + 8));
    const late = f64x2.add(times(d2, ofDrive + 16), times(d3, ofDrive + 24));
    const z = f64x2.add(kept, f64x2.add(early, late));
    v128.store(s + TriodeState.linear + 16 * n, v128.and(z, f64x2.gt(f64x2.abs(z), f64x2.splat(1e-18))));
  }
}

// @ts-ignore: decorator
@inline
function times(x: v128, address: usize): v128 {
  return f64x2.mul(x, v128.load64_splat(address));
}

/** Replaces `frames` frames (a multiple of 4) of volts at the input by what the circuit adds to them. */
export function triode(buffer: usize, frames: i32, c0: usize, c1: usize, state: usize): void {
  const end = buffer + ((<usize>frames) << 3);
  const step: f32 = 4 / <f32>frames;
  let t: f32 = 0;
  let wide = c1;
  for (let i = buffer; i < end; i += 32) {
    if (c0 != c1) {
      t += step;
      wide = moving;
      blend(c0, c1, t);
    }
    const c = wide + WIDE;
    const u0 = v128.load(i);
    const u1 = v128.load(i, 16);
    set(At.drive, 0, f32x4.pmin(f32x4.pmax(u0, k(-MOST)), k(MOST)));
    set(At.drive, 16, f32x4.pmin(f32x4.pmax(u1, k(-MOST)), k(MOST)));
    const onset = f32x4.mul(co(c, C.gridV), k(<f32>(1 / ONSET)));
    let still = k(0);
    if (v128.any_true(f32x4.gt(onset, k(LEAST_ONSET)))) still = log1pWide(f32x4.add(expm1Wide(onset), k(1)));
    advance(c, state, still);
    advanceLinear(wide, c, state);
    const out = co(c, C.out);
    const response = co(c, C.response);
    v128.store(i, added(at(At.plate, 0), at(At.grid, 0), u0, out, response));
    v128.store(i + 16, added(at(At.plate, 16), at(At.grid, 16), u1, out, response));
  }
}

/** Coefficients on their way, in both precisions. */
function blend(c0: usize, c1: usize, t: f32): void {
  const share = f64x2.splat(<f64>t);
  for (let n: usize = 0; n < WIDE; n += 16) {
    const from = v128.load(c0 + n);
    v128.store(moving + n, f64x2.add(from, f64x2.mul(share, f64x2.sub(v128.load(c1 + n), from))));
  }
  for (let n: usize = WIDE; n < (WIDE * 3) / 2; n += 16) {
    const from = v128.load(c0 + n);
    v128.store(moving + n, madd(f32x4.sub(v128.load(c1 + n), from), k(t), from));
  }
}

/** With the response off, what goes beyond the linearisation; with it on, what goes beyond the input. */
// @ts-ignore: decorator
@inline
function added(plate: v128, linear: v128, u: v128, out: v128, response: v128): v128 {
  const beyond = f32x4.mul(f32x4.sub(plate, linear), out);
  return madd(f32x4.sub(f32x4.mul(linear, out), u), response, beyond);
}
