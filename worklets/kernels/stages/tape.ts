/**
 * Magnetic tape between two equalised amplifiers. The flux on the tape follows the standard: falling with τ₁ towards high
 * frequencies and, after NAB, rising with τ₂ = 3180 µs below 50 Hz (levels: docs/reference-values.md, section 6). What the
 * coating's depth and its distance from the heads lose of short waves, recording makes up for beforehand; so the field is
 *
 *     H = u · E(f) · (1 + j·f/f_w),   E(f) = (1 + 1/(j·2πf·τ₂)) / (1 + j·2πf·τ₁),   f_w = v/(2π·depth),
 *
 * and high frequencies saturate sooner the slower the tape runs. Playback does all of that backwards, exactly, so that what
 * isn't bent comes back as it was: only what the magnetisation is more than its slope at rest goes through it.
 *
 * The magnetisation is Jiles and Atherton's (magnetics.ts). Bias is not a tone here but what it does: it shakes the walls
 * free, so that they follow the anhysteretic curve. Fully biased, the reversible share c is 1 and no loop is left; with less
 * bias it goes down to its own, and the loop, the loss of what is soft and the harmonics of hysteresis appear.
 *
 * Head bump and gap loss are in the response only.
 */
import { input, put } from '../lanes';
import { anhysteretic, Core, CoreState, follow, initialSlope, prepareCore } from '../magnetics';
import { blendCoefficients, both, kept, madd2 } from '../pair';

/** What the kernel is told: these parameters' values, in this order. */
const enum Input {
  speed,
  fluxivity,
  underBias,
  depth,
  gap,
  head,
  response,
}

/** Memory in bytes, two channels each: the core, then one number a filter of first order and two of second. */
const enum TapeState {
  core = 0,
  low = 112,
  record1 = 128,
  record2 = 144,
  playback1 = 160,
  playback2 = 176,
  lowBack = 192,
  gap = 208,
  bump1 = 224,
  bump2 = 240,
  dip1 = 256,
  dip2 = 272,
  before = 288,
  bytes = 304,
}

// Jiles and Atherton's constants of a coating: Ms, a, k in A/m, α, c.
const MS: f64 = 3.5e5;
const A: f64 = 22e3;
const K: f64 = 27e3;
const ALPHA: f64 = 1.6e-3;
const REVERSIBLE: f64 = 0.17;

// Speeds with their equalisations, in the order of the choice: 7½ NAB, 7½ IEC, 15 NAB, 15 IEC, 30 in/s; m/s, τ₁ in s, and
// whether there is a τ₂.
const SPEED = memory.data<f64>([0.1905, 0.1905, 0.381, 0.381, 0.762]);
const HIGH = memory.data<f64>([50e-6, 70e-6, 50e-6, 35e-6, 17.5e-6]);
const HAS_LOW = memory.data<f64>([1, 0, 1, 0, 0]);
const LOW: f64 = 1 / 3180e-6;
/** Where the rise towards low frequencies ends, rad/s: 4 Hz costs 0.03 dB at 50 Hz, and nothing runs away below. */
const LOWEST: f64 = 2 * Math.PI * 4;
/** Reference fluxivities in the order of the choice, nWb/m. */
const FLUXIVITY = memory.data<f64>([185, 200, 250, 320]);
const USUAL_FLUXIVITY: f64 = 320;

/** The head's contours: a rise where the wave is as long as its face, a smaller dip an octave up. */
const BUMP_DB: f64 = 2.2;
const BUMP_Q: f64 = 1.2;
const DIP_DB: f64 = -0.8;

const enum C {
  /** Those of `Core` first. */
  core = 0,
  flux = 8,
  inverseFlux,
  inverseSlope,
  response,
  // First order: b0, b1, a1; and backwards, 1/b0, a1/b0, b1/b0.
  low,
  gap = 18,
  /** Highs and short waves together: b0, b1, b2, a1; and backwards, 1/b0, a1/b0, b1/b0, b2/b0. */
  record = 24,
  playback = 28,
  // Second order: b0, b1, b2, a1, a2.
  bump = 36,
  dip = 41,
  end = 46,
}

/** A row of a table between two of its entries, in ratios: a change of speed glides. */
function between(table: usize, place: f64): f64 {
  const index = <usize>Math.min(Math.floor(place), 3);
  const from = load<f64>(table + 8 * index);
  return from * Math.pow(load<f64>(table + 8 * index, 8) / from, place - <f64>index);
}

function firstOrder(c: usize, at: usize, b0: f64, b1: f64, a1: f64): void {
  put(c, at, b0);
  put(c, at + 1, b1);
  put(c, at + 2, a1);
  put(c, at + 3, 1 / b0);
  put(c, at + 4, a1 / b0);
  put(c, at + 5, b1 / b0);
}

/** A peak of `db` at `hz` by the bilinear transform (the usual form, with A = 10^(dB/40)). */
function peak(c: usize, at: usize, hz: f64, db: f64, q: f64, rate: f64): void {
  const w = 2 * Math.PI * Math.min(hz / rate, 0.4);
  const alpha = Math.sin(w) / (2 * q);
  const a = Math.pow(10, db / 40);
  const norm = 1 / (1 + alpha / a);
  put(c, at, (1 + alpha * a) * norm);
  put(c, at + 1, -2 * Math.cos(w) * norm);
  put(c, at + 2, (1 - alpha * a) * norm);
  put(c, at + 3, -2 * Math.cos(w) * norm);
  put(c, at + 4, (1 - alpha / a) * norm);
}

/**
 * 1/(1 + j·2πf·τ) with its own pole and gain 1 at 0 Hz, and a zero that makes it exact at 20 kHz, or a tenth of the rate where
 * that is less: what is between is within 0.02 dB.
 */
function lowPass(c: usize, at: usize, tau: f64, rate: f64): void {
  const w = 2 * Math.PI * Math.min(20_000 / rate, 0.104);
  const pole = Math.exp(-1 / (tau * rate));
  const cosine = Math.cos(w);
  const wanted = 1 / (1 + w * w * tau * tau * rate * rate);
  const r = (wanted * (1 - 2 * pole * cosine + pole * pole)) / ((1 - pole) * (1 - pole));
  // 1 − 2q·cos w + q² = r·(1 − q)², the root inside the unit circle.
  const middle = (cosine - r) / (1 - r);
  const root = Math.sqrt(Math.max(0, middle * middle - 1));
  const zero = middle > 0 ? middle - root : middle + root;
  const gain = (1 - pole) / (1 - zero);
  firstOrder(c, at, gain, -gain * zero, -pole);
}

export function prepareTape(v: usize, c: usize, rate: f64): void {
  const place = input(v, Input.speed);
  const index = <usize>Math.min(Math.floor(place), 3);
  const hasLow =
    load<f64>(HAS_LOW + 8 * index) +
    (place - <f64>index) * (load<f64>(HAS_LOW + 8 * index, 8) - load<f64>(HAS_LOW + 8 * index));
  const speed = between(SPEED, place);
  const flux = input(v, Input.fluxivity);
  const fluxIndex = <usize>Math.min(Math.floor(flux), 2);
  const fluxFrom = load<f64>(FLUXIVITY + 8 * fluxIndex);
  const fluxivity =
    fluxFrom * Math.pow(load<f64>(FLUXIVITY + 8 * fluxIndex, 8) / fluxFrom, flux - <f64>fluxIndex);
  prepareCore(c, MS, A, K, ALPHA, 1 - (1 - REVERSIBLE) * 0.01 * input(v, Input.underBias), rate);
  put(c, C.flux, fluxivity / USUAL_FLUXIVITY);
  put(c, C.inverseFlux, USUAL_FLUXIVITY / fluxivity);
  put(c, C.inverseSlope, 1 / initialSlope(c));
  put(c, C.response, input(v, Input.response));
  // (s + ω₂)/(s + ω_lowest), bilinear.
  const rise = LOWEST + hasLow * (LOW - LOWEST);
  const twice = 2 * rate;
  firstOrder(c, C.low, (twice + rise) / (twice + LOWEST), (rise - twice) / (twice + LOWEST), (LOWEST - twice) / (twice + LOWEST));
  // Times (1 − p·z⁻¹)/(1 − p), the rise for short waves.
  lowPass(c, C.record, between(HIGH, place), rate);
  const p = Math.exp(-speed / (1e-6 * input(v, Input.depth) * rate));
  const b0 = load<f64>(c + 8 * C.record) / (1 - p);
  const b1 = load<f64>(c + 8 * C.record, 8) / (1 - p);
  const pole = load<f64>(c + 8 * C.record, 16);
  put(c, C.record, b0);
  put(c, C.record + 1, b1 - p * b0);
  put(c, C.record + 2, -p * b1);
  put(c, C.record + 3, pole);
  put(c, C.playback, 1 / b0);
  put(c, C.playback + 1, pole / b0);
  put(c, C.playback + 2, (b1 - p * b0) / b0);
  put(c, C.playback + 3, (-p * b1) / b0);
  // sin(y)/y of the gap, y = π·f·gap/v, falls as 1 − y²/6 does, and so does a low-pass of τ = gap/(v·√12).
  lowPass(c, C.gap, (1e-6 * input(v, Input.gap)) / (speed * Math.sqrt(12)), rate);
  const bump = speed / (1e-3 * input(v, Input.head));
  peak(c, C.bump, bump, BUMP_DB, BUMP_Q, rate);
  peak(c, C.dip, 2 * bump, DIP_DB, BUMP_Q, rate);
}

const asItWas = memory.data(CoreState.bytes, 16);

/** Coefficients at this group of frames, when they move. */
const moving = memory.data(8 * C.end, 16);

/** One frame of a first-order filter at `c`, its memory at `s`. */
// @ts-ignore: decorator
@inline
function forwards(c: usize, s: usize, x: v128): v128 {
  const y = madd2(both(c, 0), x, v128.load(s));
  v128.store(s, kept(f64x2.sub(f64x2.mul(both(c, 1), x), f64x2.mul(both(c, 2), y))));
  return y;
}

/** The same filter's inverse. */
// @ts-ignore: decorator
@inline
function backwards(c: usize, s: usize, x: v128): v128 {
  const y = madd2(both(c, 3), x, v128.load(s));
  v128.store(s, kept(f64x2.sub(f64x2.mul(both(c, 4), x), f64x2.mul(both(c, 5), y))));
  return y;
}

/** One frame of a second-order filter, its memory at `s` and behind. */
// @ts-ignore: decorator
@inline
function contour(c: usize, s: usize, x: v128): v128 {
  const y = madd2(both(c, 0), x, v128.load(s));
  v128.store(s, kept(f64x2.sub(madd2(both(c, 1), x, v128.load(s, 16)), f64x2.mul(both(c, 3), y))));
  v128.store(s, kept(f64x2.sub(f64x2.mul(both(c, 2), x), f64x2.mul(both(c, 4), y))), 16);
  return y;
}

/** Replaces `frames` frames (a multiple of 4) at the recording amplifier by what the tape adds to them. */
export function tape(buffer: usize, frames: i32, c0: usize, c1: usize, state: usize): void {
  const end = buffer + ((<usize>frames) << 3);
  const share: f64 = 4 / <f64>frames;
  let t: f64 = 0;
  let c = c1;
  // Fully biased there is no loop and nothing to remember of it.
  const isFree = load<f64>(c0 + 8 * Core.pinned) == 0 && load<f64>(c1 + 8 * Core.pinned) == 0;
  if (isFree) memory.fill(state + TapeState.core, 0, CoreState.bytes);
  const hasLow = rises(c0) || rises(c1);
  let record1 = v128.load(state + TapeState.record1);
  let record2 = v128.load(state + TapeState.record2);
  let playback1 = v128.load(state + TapeState.playback1);
  let playback2 = v128.load(state + TapeState.playback2);
  for (let i = buffer; i < end; i += 32) {
    if (c0 != c1) {
      t += share;
      c = moving;
      blendCoefficients(moving, c0, c1, C.end, t);
    }
    for (let at = i; at < i + 32; at += 8) {
      const u = f64x2.promote_low_f32x4(v128.load64_zero(at));
      let w = f64x2.mul(both(c, C.flux), u);
      if (hasLow) w = forwards(c + 8 * C.low, state + TapeState.low, w);
      const x = madd2(both(c, C.record), w, record1);
      record1 = f64x2.sub(madd2(both(c, C.record + 1), w, record2), f64x2.mul(both(c, C.record + 3), x));
      record2 = f64x2.mul(both(c, C.record + 2), w);
      let m: v128;
      if (isFree) m = anhysteretic(c, x);
      else {
        turn(c, state, x);
        m = follow(c, state + TapeState.core, x);
      }
      const bent = f64x2.mul(f64x2.sub(f64x2.mul(both(c, C.inverseSlope), m), x), both(c, C.inverseFlux));
      let beyond = madd2(both(c, C.playback), bent, playback1);
      playback1 = f64x2.sub(madd2(both(c, C.playback + 1), bent, playback2), f64x2.mul(both(c, C.playback + 2), beyond));
      playback2 = f64x2.neg(f64x2.mul(both(c, C.playback + 3), beyond));
      if (hasLow) beyond = backwards(c + 8 * C.low, state + TapeState.lowBack, beyond);
      if (load<f64>(c + 8 * C.response) > 0) beyond = responded(c, state, u, beyond);
      v128.store64_lane(at, f32x4.demote_f64x2_zero(beyond), 0);
    }
    record1 = kept(record1);
    record2 = kept(record2);
    playback1 = kept(playback1);
    playback2 = kept(playback2);
  }
  v128.store(state + TapeState.record1, record1);
  v128.store(state + TapeState.record2, record2);
  v128.store(state + TapeState.playback1, playback1);
  v128.store(state + TapeState.playback2, playback2);
}

/** True where the equalisation rises towards the lowest frequencies; elsewhere that filter is a wire. */
function rises(c: usize): bool {
  return load<f64>(c + 8 * (C.low + 1)) != load<f64>(c + 8 * (C.low + 2));
}

/**
 * Where a field turns between two frames, the core is taken to the tip of the parabola through three of them first: a loop
 * remembers its tips, and tips that depend on where the frames fall are aliases.
 */
// @ts-ignore: decorator
@inline
function turn(c: usize, state: usize, x: v128): void {
  const last = v128.load(state + TapeState.core + CoreState.field);
  const came = f64x2.sub(last, v128.load(state + TapeState.before));
  const goes = f64x2.sub(x, last);
  v128.store(state + TapeState.before, last);
  const turns = f64x2.lt(f64x2.mul(came, goes), f64x2.splat(0));
  if (!v128.any_true(turns)) return;
  const change = f64x2.add(came, goes);
  const lift = f64x2.div(f64x2.mul(change, change), f64x2.mul(f64x2.splat(8), f64x2.sub(came, goes)));
  // A channel that doesn't turn is left as it was.
  memory.copy(asItWas, state + TapeState.core, CoreState.bytes);
  follow(c, state + TapeState.core, f64x2.add(last, v128.and(lift, turns)));
  for (let n: usize = 0; n < <usize>CoreState.bytes; n += 16) {
    const own = state + TapeState.core + n;
    v128.store(own, v128.bitselect(v128.load(own), v128.load(asItWas + n), turns));
  }
}

/** What is added with the response on: all that playback gives more than what was recorded, by the share that it is on. */
// @ts-ignore: decorator
@inline
function responded(c: usize, state: usize, u: v128, beyond: v128): v128 {
  let y = forwards(c + 8 * C.gap, state + TapeState.gap, f64x2.add(u, beyond));
  y = contour(c + 8 * C.bump, state + TapeState.bump1, y);
  y = contour(c + 8 * C.dip, state + TapeState.dip1, y);
  return madd2(both(c, C.response), f64x2.sub(f64x2.sub(y, u), beyond), beyond);
}
