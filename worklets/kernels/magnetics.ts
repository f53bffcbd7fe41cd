/**
 * Magnetisation with hysteresis after Jiles and Atherton (1986), left and right in the two lanes of a vector in double
 * precision. Everything is normalised: x = H/a, m = M/Ms, and with them α·Ms/a and k/a.
 *
 * The anhysteretic is Man = L(He), L(x) = coth x − 1/x, at the effective field He = x + α·m. Pinned walls follow it
 * irreversibly, dMirr/dx = |Man − Mirr|/(k − α·|Man − Mirr|) while they move towards it and 0 while they don't; walls that
 * bow give the rest: m = (1 − c)·Mirr + c·Man. Differentiated by x this is the usual equation for dM/dH (docs/reference-values.md,
 * section 6); kept as it stands here, Mirr is all that is integrated, and the reversible part can't drift.
 *
 * A core keeps its remanence for years, and a sound would depend on whatever was played before. Here the mean of Mirr over
 * some 20 ms creeps back to nothing; a loop that is run through faster than that stays what it is.
 */

import { both, kept, madd2 } from './pair';

// L(s)/s for s ≥ 0 as a rational function, with the first terms of its series at 0 and of 1/s − 1/s² far out. Fitted by
// least squares (weights moved to where the error is largest); the powers s and s³ of its series, which a function of |x|
// must not have, are kept at 0.
const RATIO = memory.data<f64>([
  1.0 / 3.0, 0.1477371515118075, 0.05690972598244969, 0.01499637778080232,
  0.003040466636027917, 0.00045640697917635254, 6.238473078992547e-5,
  1, 0.443211454535422, 0.23739584461401517, 0.0745365636447686,
  0.018585205352286256, 0.003558912619923904, 0.0005187917099662773, 6.23847307899255e-5,
]);

/** L(x)/x for any x, relative error below 2.5e-7; L is x times that. */
// @ts-ignore: decorator
@inline
export function langevinRatio(x: v128): v128 {
  const s = f64x2.abs(x);
  const s2 = f64x2.mul(s, s);
  const s4 = f64x2.mul(s2, s2);
  const n = madd2(s4, madd2(s2, both(RATIO, 6), madd2(s, both(RATIO, 5), both(RATIO, 4))), madd2(s2, madd2(s, both(RATIO, 3), both(RATIO, 2)), madd2(s, both(RATIO, 1), both(RATIO, 0))));
  const high = madd2(s2, madd2(s, both(RATIO, 14), both(RATIO, 13)), madd2(s, both(RATIO, 12), both(RATIO, 11)));
  const low = madd2(s2, madd2(s, both(RATIO, 10), both(RATIO, 9)), madd2(s, both(RATIO, 8), both(RATIO, 7)));
  return f64x2.div(n, madd2(s4, high, low));
}

/** L′(x) = 1 − L² − 2·L/x, never below 0. */
// @ts-ignore: decorator
@inline
export function langevinSlope(l: v128, ratio: v128): v128 {
  const one = f64x2.splat(1);
  return f64x2.pmax(f64x2.sub(f64x2.sub(one, f64x2.mul(l, l)), f64x2.add(ratio, ratio)), f64x2.splat(0));
}

/** `x` limited to ±`most`. */
// @ts-ignore: decorator
@inline
export function within(x: v128, most: v128): v128 {
  return f64x2.pmin(f64x2.pmax(x, f64x2.neg(most)), most);
}

/** A material as coefficients in double precision, from its first on. */
export const enum Core {
  /** Reversible share c, and 1 − c. */
  reversible,
  pinned,
  /** α·Ms/a and k/a. */
  alpha,
  kappa,
  /** Least of k − α·|Man − Mirr|: what is beyond its pole is no core. */
  least,
  /** c·α. */
  feedback,
  /** Shares, at each step, of the mean of Mirr that is taken in, and of the mean that creeps off. */
  mean,
  creep,
}

/** Time constant, s, of the mean that creeps; four times it is that of the creep itself, so that neither swings. */
const MEAN_SECONDS: f64 = 0.02;

/**
 * Writes a material's coefficients for `steps` a second: saturation Ms, shape a and pinning k in A/m, inter-domain
 * coupling α and reversible share c.
 */
export function prepareCore(at: usize, ms: f64, a: f64, k: f64, alpha: f64, c: f64, steps: f64): void {
  store<f64>(at + 8 * Core.reversible, c);
  store<f64>(at + 8 * Core.pinned, 1 - c);
  store<f64>(at + 8 * Core.alpha, (alpha * ms) / a);
  store<f64>(at + 8 * Core.kappa, k / a);
  store<f64>(at + 8 * Core.least, (0.02 * k) / a);
  store<f64>(at + 8 * Core.feedback, (c * alpha * ms) / a);
  store<f64>(at + 8 * Core.mean, 1 / (steps * MEAN_SECONDS));
  store<f64>(at + 8 * Core.creep, 0.25 / (steps * MEAN_SECONDS));
}

/** dm/dx of a core that was never magnetised, for small fields: what is linear about it. */
export function initialSlope(at: usize): f64 {
  const c = load<f64>(at + 8 * Core.reversible);
  return c / 3 / (1 - load<f64>(at + 8 * Core.feedback) / 3);
}

/** |dMirr/dx| at a distance Man − Mirr, in the direction that lessens it. */
// @ts-ignore: decorator
@inline
export function pinnedSlope(core: usize, distance: v128): v128 {
  const size = f64x2.abs(distance);
  const room = f64x2.sub(both(core, Core.kappa), f64x2.mul(both(core, Core.alpha), size));
  return f64x2.div(size, f64x2.pmax(room, both(core, Core.least)));
}

/** `slope` where a move by `dx` lessens the distance, else 0. */
// @ts-ignore: decorator
@inline
export function whereNearing(slope: v128, dx: v128, distance: v128): v128 {
  return v128.and(slope, f64x2.gt(f64x2.mul(dx, distance), f64x2.splat(0)));
}

/**
 * The mean slope of a step from slope `was` at `distance` to `now` at `gap`: that of a trapezium, or of the triangle that is
 * left of it where what is pinned only begins to move within the step.
 */
// @ts-ignore: decorator
@inline
export function meanSlope(was: v128, now: v128, distance: v128, gap: v128): v128 {
  const begins = f64x2.lt(f64x2.mul(distance, gap), f64x2.splat(0));
  const share = v128.bitselect(f64x2.div(gap, f64x2.sub(gap, distance)), f64x2.splat(1), begins);
  return f64x2.mul(f64x2.splat(0.5), madd2(now, share, was));
}

/** `next`, but no further than the anhysteretic, which what is pinned never passes. */
// @ts-ignore: decorator
@inline
export function notBeyond(next: v128, before: v128, anhysteretic: v128): v128 {
  const low = f64x2.pmin(before, anhysteretic);
  const high = f64x2.pmax(before, anhysteretic);
  return f64x2.pmin(f64x2.pmax(next, low), high);
}

/** A core's memory in bytes, where it follows a field. */
export const enum CoreState {
  field = 0,
  magnetisation = 16,
  rise = 32,
  pinned = 48,
  distance = 64,
  slope = 80,
  mean = 96,
  bytes = 112,
}

/**
 * Magnetisation at the field `x`, from that at the last one (Heun's rule for what is pinned; what bows follows at once). A
 * memory of zeros is a core that was never magnetised.
 */
// @ts-ignore: decorator
@inline
export function follow(core: usize, state: usize, x: v128): v128 {
  const one = f64x2.splat(1);
  const alpha = both(core, Core.alpha);
  const feedback = both(core, Core.feedback);
  const pinned = v128.load(state + CoreState.pinned);
  const dx = f64x2.sub(x, v128.load(state + CoreState.field));
  const guess = within(madd2(v128.load(state + CoreState.rise), dx, v128.load(state + CoreState.magnetisation)), one);
  const effective = madd2(alpha, guess, x);
  const ratio = langevinRatio(effective);
  const anhysteretic = f64x2.mul(effective, ratio);
  const rises = langevinSlope(anhysteretic, ratio);
  const distance = v128.load(state + CoreState.distance);
  const was = whereNearing(v128.load(state + CoreState.slope), dx, distance);
  const gap = f64x2.sub(anhysteretic, notBeyond(madd2(was, dx, pinned), pinned, anhysteretic));
  const slope = pinnedSlope(core, gap);
  let now = whereNearing(slope, dx, gap);
  const follows = madd2(meanSlope(was, now, distance, gap), dx, pinned);
  const irreversible = notBeyond(follows, pinned, anhysteretic);
  // At the anhysteretic it goes with that.
  now = v128.bitselect(rises, now, f64x2.ne(irreversible, follows));
  const inverse = f64x2.div(one, f64x2.sub(one, f64x2.mul(feedback, rises)));
  const share = both(core, Core.pinned);
  const reversible = both(core, Core.reversible);
  const whole = f64x2.sub(
    madd2(share, irreversible, f64x2.mul(reversible, anhysteretic)),
    f64x2.mul(f64x2.mul(feedback, rises), guess),
  );
  const m = within(f64x2.mul(whole, inverse), one);
  const mean = v128.load(state + CoreState.mean);
  const next = kept(madd2(both(core, Core.mean), f64x2.sub(irreversible, mean), mean));
  v128.store(state + CoreState.field, x);
  v128.store(state + CoreState.magnetisation, m);
  v128.store(state + CoreState.rise, f64x2.mul(madd2(share, now, f64x2.mul(reversible, rises)), inverse));
  v128.store(state + CoreState.distance, f64x2.sub(madd2(rises, f64x2.mul(alpha, f64x2.sub(m, guess)), anhysteretic), irreversible));
  v128.store(state + CoreState.slope, slope);
  v128.store(state + CoreState.mean, next);
  v128.store(state + CoreState.pinned, kept(f64x2.sub(irreversible, f64x2.mul(both(core, Core.creep), next))));
  return m;
}

/**
 * Magnetisation of a core that is all reversible (c = 1) at the field `x`: M = L(x + α·M), which needs no memory. The mild
 * feedback of a coating is taken by its slope, then once more.
 */
// @ts-ignore: decorator
@inline
export function anhysteretic(core: usize, x: v128): v128 {
  const alpha = both(core, Core.alpha);
  const ratioAlone = langevinRatio(x);
  const alone = f64x2.mul(x, ratioAlone);
  const guess = madd2(f64x2.mul(alpha, langevinSlope(alone, ratioAlone)), alone, alone);
  const effective = madd2(alpha, guess, x);
  const ratio = langevinRatio(effective);
  const m = f64x2.mul(effective, ratio);
  return madd2(f64x2.mul(alpha, langevinSlope(m, ratio)), f64x2.sub(m, guess), m);
}

const lone = memory.data(CoreState.bytes, 16);

/**
 * What a core makes of `count` fields x = H/a in double precision, each replaced by M/Ms; from never magnetised, and
 * without the creep. `core`: coefficients of `prepareCore`, written here.
 */
export function magnetise(fields: usize, count: i32, core: usize, ms: f64, a: f64, k: f64, alpha: f64, c: f64): void {
  prepareCore(core, ms, a, k, alpha, c, Infinity);
  memory.fill(lone, 0, CoreState.bytes);
  const end = fields + ((<usize>count) << 3);
  for (let i = fields; i < end; i += 8) v128.store64_lane(i, follow(core, lone, v128.load64_splat(i)), 0);
}
