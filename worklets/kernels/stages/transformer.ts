/**
 * A transformer with an iron core: a source whose resistance and the winding's are in series with the primary. The flux is
 * the integral of the voltage that is left behind them, and the core takes the magnetising current that this flux needs.
 * What the current drops over the resistances is what the output lacks; the current's harmonics grow with the flux, and
 * that with the period, so that the core bends low notes only.
 *
 * Normalised: flux Φ = ν·x + m, with x = H/a for the current and ν = a/Ms for what air would carry; dΦ/dt = ω·(u − ρ·x)
 * with ω = 2π·50 Hz, so that a sine of 50 Hz and amplitude 1 just reaches saturation. ρ follows from the resistances and
 * the inductance for small signals.
 *
 * Four frames a step, since the flux of what is faster is next to nothing; between them the current is interpolated. The
 * voltage is integrated by trapezia; of what the current drops a little more is taken at the step's end than at its start,
 * since a saturated core is a mere resistance, at which the trapezoidal rule would swing for ever. At each step the core is
 * evaluated once, where its
 * last slope leads, and one of Newton's steps follows; where that leads far, as in and out of deep saturation, it is done
 * again, with the answer kept between bounds. The flux is the sum of the voltages whatever a step is off by, so no error
 * remains.
 */
import { input, put } from '../lanes';
import { Core, initialSlope, langevinRatio, langevinSlope, meanSlope, notBeyond, pinnedSlope, prepareCore, whereNearing, within } from '../magnetics';
import { blendCoefficients, both, kept, madd2 } from '../pair';

/** What the kernel is told: these parameters' values, in this order. */
const enum Input {
  core,
  source,
  winding,
  inductance,
  leakage,
  capacitance,
  load,
  response,
}

/** Memory in bytes, two channels each: what the last step left. */
const enum TransformerState {
  input = 0,
  field = 16,
  magnetisation = 32,
  pinned = 48,
  distance = 64,
  slope = 80,
  gain = 96,
  mean = 112,
  linear = 128,
  resonance1 = 144,
  resonance2 = 160,
  bytes = 176,
}

/** Frames of a step. */
const STEP: f64 = 4;
/** θ: how much of what the current drops in a step is taken by its value at the end. */
const AT_END: f64 = 0.6;

/** Flux of a 50 Hz sine of amplitude 1 is saturation. */
const OMEGA: f64 = 2 * Math.PI * 50;

// Jiles and Atherton's constants, Ms, a, k in A/m, α, c: our own, of the order of the two kinds of sheet. Nickel iron has an
// initial permeability of about 40 000 and a coercivity of a few A/m; silicon steel carries 2 T, needs ten times the field
// and follows small fields less.
const NICKEL = memory.data<f64>([6.2e5, 2, 6, 6.45e-6, 0.3]);
const STEEL = memory.data<f64>([1.6e6, 30, 60, 3.75e-5, 0.2]);

/** An evaluation this near, in shares of the saturation flux, is followed by the last of Newton's steps. */
const NEAR: f64 = 1e-3;
const MOST_EVALUATIONS = 24;
/** No field is as large. */
const FAR: f64 = 1e100;

const enum C {
  /** Those of `Core` first. */
  core = 0,
  /** Of the field at a step's start and at its end: ν − (1 − θ)·r and ν + θ·r, r being what the current drops in a step. */
  air = 8,
  stiff,
  perFrame,
  rho,
  /** The linearisation: what is kept of the field and what a step of voltage adds to it. */
  keep,
  take,
  startGain,
  response,
  b0,
  a1,
  a2,
  end,
}

/** A constant between the two materials, in ratios: a change of core glides. */
function constant(n: usize, share: f64): f64 {
  const nickel = load<f64>(NICKEL + 8 * n);
  return nickel * Math.pow(load<f64>(STEEL + 8 * n) / nickel, share);
}

export function prepareTransformer(v: usize, c: usize, rate: f64): void {
  const share = input(v, Input.core);
  prepareCore(c, constant(0, share), constant(1, share), constant(2, share), constant(3, share), constant(4, share), rate / STEP);
  const nu = constant(1, share) / constant(0, share);
  const slope = nu + initialSlope(c);
  const source = input(v, Input.source) + input(v, Input.winding);
  const rho = (slope * source) / (input(v, Input.inductance) * OMEGA);
  const drop = (STEP * OMEGA * rho) / rate;
  put(c, C.air, nu - (1 - AT_END) * drop);
  put(c, C.stiff, nu + AT_END * drop);
  put(c, C.perFrame, OMEGA / rate);
  put(c, C.rho, rho);
  put(c, C.keep, (slope - (1 - AT_END) * drop) / (slope + AT_END * drop));
  put(c, C.take, OMEGA / rate / (slope + AT_END * drop));
  put(c, C.startGain, 1 / (slope + AT_END * drop));
  put(c, C.response, input(v, Input.response));
  // Leakage inductance and winding capacitance between source and load, as a two-pole of gain 1 at low frequencies;
  // bilinear, b = b0·(1, 2, 1).
  const burden = 1000 * input(v, Input.load);
  const leakage = 1e-3 * input(v, Input.leakage);
  const capacitance = 1e-9 * input(v, Input.capacitance);
  const rest = 1 + source / burden;
  const first = (2 * rate * (leakage / burden + source * capacitance)) / rest;
  const second = (4 * rate * rate * leakage * capacitance) / rest;
  const norm = 1 / (1 + first + second);
  put(c, C.b0, norm);
  put(c, C.a1, 2 * (1 - second) * norm);
  put(c, C.a2, (1 - first + second) * norm);
}

/** Coefficients at this group of frames, when they move. */
const moving = memory.data(8 * C.end, 16);

/** Replaces `frames` frames (a multiple of 4) of volts at the source by what the transformer adds to them. */
export function transformer(buffer: usize, frames: i32, c0: usize, c1: usize, state: usize): void {
  const end = buffer + ((<usize>frames) << 3);
  const share: f64 = 4 / <f64>frames;
  let t: f64 = 0;
  let c = c1;
  let u0 = v128.load(state + TransformerState.input);
  let x = v128.load(state + TransformerState.field);
  let m = v128.load(state + TransformerState.magnetisation);
  let pinned = v128.load(state + TransformerState.pinned);
  let distance = v128.load(state + TransformerState.distance);
  let slope = v128.load(state + TransformerState.slope);
  let gain = v128.load(state + TransformerState.gain);
  let mean = v128.load(state + TransformerState.mean);
  let linear = v128.load(state + TransformerState.linear);
  // A memory of zeros is one at rest.
  gain = v128.bitselect(gain, both(c0, C.startGain), f64x2.gt(gain, f64x2.splat(0)));
  for (let i = buffer; i < end; i += 32) {
    if (c0 != c1) {
      t += share;
      c = moving;
      blendCoefficients(moving, c0, c1, C.end, t);
    }
      const u1 = f64x2.promote_low_f32x4(v128.load64_zero(i));
      const u2 = f64x2.promote_low_f32x4(v128.load64_zero(i, 8));
      const u3 = f64x2.promote_low_f32x4(v128.load64_zero(i, 16));
      const u4 = f64x2.promote_low_f32x4(v128.load64_zero(i, 24));
      const stiff = both(c, C.stiff);
      // Sum of the voltages over the step, the ends by half.
      const volts = madd2(f64x2.add(u0, u4), f64x2.splat(0.5), f64x2.add(u1, f64x2.add(u2, u3)));
      u0 = u4;
      const flux = madd2(volts, both(c, C.perFrame), madd2(x, both(c, C.air), m));
      // Where the last slope leads; the field that is sought lies on that side of the last one.
      const rise = f64x2.sub(f64x2.sub(flux, m), f64x2.mul(stiff, x));
      const isUp = f64x2.gt(rise, f64x2.splat(0));
      let low = v128.bitselect(x, f64x2.splat(-FAR), isUp);
      let high = v128.bitselect(f64x2.splat(FAR), x, isUp);
      let guess = madd2(gain, rise, x);
      const alpha = both(c, Core.alpha);
      const feedback = both(c, Core.feedback);
      const reversible = both(c, Core.reversible);
      const held = both(c, Core.pinned);
      let dx: v128, carried: v128, anhysteretic: v128, rises: v128, steep: v128, now: v128, irreversible: v128, room: v128, inverse: v128, step: v128;
      for (let evaluation = 1; ; evaluation++) {
        dx = f64x2.sub(guess, x);
        carried = f64x2.sub(f64x2.add(m, rise), f64x2.mul(stiff, dx));
        // The core there.
        const effective = madd2(alpha, carried, guess);
        const ratio = langevinRatio(effective);
        anhysteretic = f64x2.mul(effective, ratio);
        rises = langevinSlope(anhysteretic, ratio);
        const was = whereNearing(slope, dx, distance);
        const gap = f64x2.sub(anhysteretic, notBeyond(madd2(was, dx, pinned), pinned, anhysteretic));
        steep = pinnedSlope(c, gap);
        now = whereNearing(steep, dx, gap);
        const follows = madd2(meanSlope(was, now, distance, gap), dx, pinned);
        irreversible = notBeyond(follows, pinned, anhysteretic);
        // At the anhysteretic it goes with that.
        now = v128.bitselect(rises, now, f64x2.ne(irreversible, follows));
        // What the core has there against what the flux leaves for it, and one of Newton's steps.
        room = f64x2.sub(f64x2.splat(1), f64x2.mul(feedback, rises));
        const off = f64x2.sub(madd2(held, irreversible, f64x2.mul(reversible, anhysteretic)), carried);
        inverse = f64x2.div(f64x2.splat(1), madd2(room, stiff, madd2(held, now, f64x2.mul(reversible, rises))));
        step = f64x2.mul(off, inverse);
        const isOff = f64x2.gt(f64x2.abs(off), f64x2.splat(NEAR));
        if (!v128.any_true(isOff) || evaluation == MOST_EVALUATIONS) break;
        const isHigh = f64x2.gt(off, f64x2.splat(0));
        high = v128.bitselect(guess, high, v128.and(isOff, isHigh));
        low = v128.bitselect(guess, low, v128.andnot(isOff, isHigh));
        const next = f64x2.sub(guess, step);
        const isInside = v128.and(f64x2.gt(next, low), f64x2.lt(next, high));
        const middle = f64x2.mul(f64x2.splat(0.5), f64x2.add(low, high));
        guess = v128.bitselect(v128.bitselect(next, middle, isInside), guess, isOff);
      }
      slope = steep;
      const before = x;
      x = kept(f64x2.sub(guess, step));
      gain = f64x2.mul(room, inverse);
      m = within(f64x2.sub(flux, f64x2.mul(stiff, x)), f64x2.splat(1));
      const settled = notBeyond(f64x2.sub(irreversible, f64x2.mul(now, step)), pinned, anhysteretic);
      distance = f64x2.sub(madd2(rises, f64x2.sub(f64x2.mul(alpha, f64x2.sub(m, carried)), step), anhysteretic), settled);
      mean = kept(madd2(both(c, Core.mean), f64x2.sub(settled, mean), mean));
      pinned = kept(f64x2.sub(settled, f64x2.mul(both(c, Core.creep), mean)));
      const linearBefore = linear;
      linear = kept(madd2(both(c, C.keep), linear, f64x2.mul(both(c, C.take), volts)));

      // What the current drops less than the linearisation's would, frame by frame between the ends.
      const rho = both(c, C.rho);
      const start = f64x2.mul(rho, f64x2.sub(linearBefore, before));
      const part = f64x2.mul(f64x2.splat(0.25), f64x2.sub(f64x2.mul(rho, f64x2.sub(linear, x)), start));
      const out1 = f64x2.add(start, part);
      const out2 = f64x2.add(out1, part);
      const out3 = f64x2.add(out2, part);
      const out4 = f64x2.add(out3, part);
      storeFrames(i, out1, out2);
      storeFrames(i + 16, out3, out4);
      if (load<f64>(c + 8 * C.response) > 0) {
        const drops = f64x2.mul(rho, linearBefore);
        const more = f64x2.mul(f64x2.splat(0.25), f64x2.sub(f64x2.mul(rho, linear), drops));
        const drops1 = f64x2.add(drops, more);
        const drops2 = f64x2.add(drops1, more);
        const drops3 = f64x2.add(drops2, more);
        storeFrames(i, responded(c, state, u1, out1, drops1), responded(c, state, u2, out2, drops2));
        storeFrames(i + 16, responded(c, state, u3, out3, drops3), responded(c, state, u4, out4, f64x2.add(drops3, more)));
      }
  }
  v128.store(state + TransformerState.input, u0);
  v128.store(state + TransformerState.field, x);
  v128.store(state + TransformerState.magnetisation, m);
  v128.store(state + TransformerState.pinned, pinned);
  v128.store(state + TransformerState.distance, distance);
  v128.store(state + TransformerState.slope, slope);
  v128.store(state + TransformerState.gain, gain);
  v128.store(state + TransformerState.mean, mean);
  v128.store(state + TransformerState.linear, linear);
}

// @ts-ignore: decorator
@inline
function storeFrames(at: usize, first: v128, second: v128): void {
  v128.store(at, v128.shuffle<i64>(f32x4.demote_f64x2_zero(first), f32x4.demote_f64x2_zero(second), 0, 2));
}

/** What is added with the response on: all that the output is more than the input, by the share that it is on. */
// @ts-ignore: decorator
@inline
function responded(c: usize, state: usize, u: v128, beyond: v128, drops: v128): v128 {
  const z1 = v128.load(state + TransformerState.resonance1);
  const z2 = v128.load(state + TransformerState.resonance2);
  const whole = f64x2.add(f64x2.sub(u, drops), beyond);
  const scaled = f64x2.mul(both(c, C.b0), whole);
  const y = f64x2.add(scaled, z1);
  const next1 = f64x2.sub(f64x2.add(f64x2.add(scaled, scaled), z2), f64x2.mul(both(c, C.a1), y));
  v128.store(state + TransformerState.resonance1, kept(next1));
  v128.store(state + TransformerState.resonance2, kept(f64x2.sub(scaled, f64x2.mul(both(c, C.a2), y))));
  return madd2(both(c, C.response), f64x2.sub(f64x2.sub(y, u), beyond), beyond);
}
