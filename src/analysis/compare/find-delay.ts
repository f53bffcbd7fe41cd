/** Delay and polarity of one signal against another. */
import { makeWindow } from '../../dsp/windows.ts';
import type { Planes } from '../rack-renderer.ts';
import { envelopeLags } from './envelope-lag.ts';
import { PairTransform } from './pair-transform.ts';

export interface Delay {
  /** Samples by which `b` is later than `a`, the nearest whole number. */
  readonly whole: number;
  /** What is left of it, −½ to ½ of a sample. */
  readonly fraction: number;
  readonly polarity: 1 | -1;
  /** Size of the correlation coefficient at the whole delay, 0 to 1. */
  readonly correlation: number;
}

/** Stretch of `a` that is looked for in `b`, samples, and how far to each side. */
const STRETCH = 1 << 15;
const SEGMENTS = 6;
/** Frame of the cross-spectrum whose phase gives the fraction. */
const FRAME = 1 << 13;
const MOST_FRAMES = 400;

/**
 * How much later `b` is than `a`. No lag and the likeliest lags of the envelopes, which may be any, are tried; around each
 * the correlation of the loudest stretches is searched, and the one with the strongest correlation is taken. The fraction
 * is the slope of the phase of the averaged cross-spectrum, S = |S|·e^(−jωτ): the τ with the largest Σ w·cos(φ + ωτ),
 * bins weighted by γ²/(1 − γ²) as for the maximum likelihood (Knapp and Carter 1976; from memory). Null for silence.
 */
export function* findDelay(a: Planes, b: Planes, sampleRate: number): Generator<void, Delay | null> {
  if (energy(a, 0, a[0].length) === 0 || energy(b, 0, b[0].length) === 0) return null;
  const candidates = new Set([0, ...envelopeLags(a, b, sampleRate)]);
  yield;
  const transform = new PairTransform(2 * STRETCH);
  let best: { whole: number; share: number; correlation: number } | null = null;
  for (const candidate of candidates) {
    const whole = searchAround(transform, a, b, candidate);
    yield;
    if (whole === null) continue;
    const found = { whole, ...coefficient(a, b, whole) };
    if (!best || Math.abs(found.share) > Math.abs(best.share)) best = found;
    // Nothing can be much more alike.
    if (Math.abs(found.share) > 0.99) break;
  }
  if (!best || best.correlation === 0) return null;
  const polarity = best.correlation < 0 ? -1 : 1;
  const tau = yield* phaseDelay(a, b, best.whole, polarity);
  const whole = best.whole + Math.round(tau);
  return { whole, fraction: tau - Math.round(tau), polarity, correlation: Math.abs(best.correlation) };
}

/** Starts of the loudest stretches of frames `from` to `to` that don't overlap; none where all is silent. */
function loudestSegments(planes: Planes, from: number, to: number): number[] {
  const count = Math.max(1, Math.floor((to - from) / STRETCH));
  const powers = Array.from({ length: count }, (_, i) => {
    const start = from + i * STRETCH;
    return { start, power: energy(planes, start, Math.min(to, start + STRETCH)) };
  });
  powers.sort((one, other) => other.power - one.power);
  return powers.slice(0, SEGMENTS).flatMap(({ start, power }) => (power > 0 ? [start] : []));
}

function energy(planes: Planes, from: number, to: number): number {
  let sum = 0;
  for (const plane of planes) for (let i = from; i < Math.min(to, plane.length); i++) sum += plane[i] * plane[i];
  return sum;
}

/**
 * The lag within half a stretch of `around` with the largest correlation, half whitened so that no tone outweighs all;
 * null where the two don't meet.
 */
function searchAround(transform: PairTransform, a: Planes, b: Planes, around: number): number | null {
  const from = Math.max(0, -around);
  const to = Math.min(a[0].length, b[0].length - around);
  const segments = to > from ? loudestSegments(a, from, to) : [];
  if (segments.length === 0) return null;
  const bins = STRETCH + 1;
  const [re, im, paa, pbb] = Array.from({ length: 4 }, () => new Float64Array(bins));
  const half = STRETCH / 2;
  for (const start of segments) {
    transform.load('a', a, start, STRETCH);
    transform.load('b', b, start + around - half, 2 * STRETCH);
    transform.accumulate(re, im, paa, pbb);
  }
  for (let k = 0; k < bins; k++) {
    const size = Math.sqrt(Math.hypot(re[k], im[k]));
    if (size > 0) {
      re[k] /= size;
      im[k] /= size;
    }
  }
  const correlation = transform.correlation(re, im);
  let best = half;
  for (let lag = 0; lag <= STRETCH; lag++) if (Math.abs(correlation[lag]) > Math.abs(correlation[best])) best = lag;
  return around + best - half;
}

/**
 * Correlation of the stretch that both have, `b` read `lag` samples later: against that stretch, and as a share of the
 * whole of both, by which a short likeness doesn't count for much.
 */
function coefficient(a: Planes, b: Planes, lag: number): { correlation: number; share: number } {
  let ab = 0;
  let aa = 0;
  let bb = 0;
  const from = Math.max(0, -lag);
  const to = Math.min(a[0].length, b[0].length - lag);
  for (let side = 0; side < 2; side++) {
    const x = a[Math.min(side, a.length - 1)];
    const y = b[Math.min(side, b.length - 1)];
    for (let i = from; i < to; i++) {
      ab += x[i] * y[i + lag];
      aa += x[i] * x[i];
      bb += y[i + lag] * y[i + lag];
    }
  }
  if (aa === 0 || bb === 0) return { correlation: 0, share: 0 };
  // One plane counts on both sides, as above.
  const whole = (planes: Planes) => (2 / planes.length) * energy(planes, 0, planes[0].length);
  return { correlation: ab / Math.sqrt(aa * bb), share: ab / Math.sqrt(whole(a) * whole(b)) };
}

/** The delay, in samples, that is left when `b` is read `whole` samples later; at most about one. */
export function* phaseDelay(a: Planes, b: Planes, whole: number, polarity: 1 | -1): Generator<void, number> {
  const window = makeWindow('hann', FRAME);
  const transform = new PairTransform(FRAME);
  const bins = FRAME / 2 + 1;
  const [re, im, paa, pbb] = Array.from({ length: 4 }, () => new Float64Array(bins));
  const from = Math.max(0, -whole);
  const to = Math.min(a[0].length, b[0].length - whole);
  // Frames spread over the whole; a signal shorter than one frame is one frame with silence behind it.
  const count = Math.max(1, Math.min(MOST_FRAMES, Math.floor((2 * (to - from)) / FRAME) - 1));
  for (let n = 0; n < count; n++) {
    const at = from + Math.round((n * Math.max(0, to - from - FRAME)) / Math.max(1, count - 1));
    transform.load('a', a, at, FRAME, window);
    transform.load('b', b, at + whole, FRAME, window);
    transform.accumulate(re, im, paa, pbb);
    if (n % 16 === 15) yield;
  }
  const floor = 1e-12 * pbb.reduce((most, power) => Math.max(most, power), 0);
  const phase = new Float64Array(bins);
  const weight = new Float64Array(bins);
  for (let k = 1; k < bins - 1; k++) {
    const square = re[k] ** 2 + im[k] ** 2;
    if (pbb[k] <= floor || square === 0) continue;
    const coherence = Math.min(1, square / (paa[k] * pbb[k]));
    weight[k] = coherence / (1 - coherence + 1e-6);
    phase[k] = Math.atan2(polarity * im[k], polarity * re[k]);
  }
  return steepest(phase, weight);
}

/** The τ near 0 with the largest Σ w·cos(φ + ωτ), by Newton's method from the best point of a grid. */
function steepest(phase: Float64Array, weight: Float64Array): number {
  const omega = Math.PI / (phase.length - 1);
  const sums = (tau: number) => {
    let value = 0;
    let slope = 0;
    let bend = 0;
    for (let k = 1; k < phase.length; k++) {
      if (weight[k] === 0) continue;
      const w = omega * k;
      const angle = phase[k] + w * tau;
      value += weight[k] * Math.cos(angle);
      slope -= weight[k] * w * Math.sin(angle);
      bend -= weight[k] * w * w * Math.cos(angle);
    }
    return { value, slope, bend };
  };
  let tau = 0;
  let most = Number.NEGATIVE_INFINITY;
  for (let step = -10; step <= 10; step++) {
    const { value } = sums(step / 8);
    if (value > most) {
      most = value;
      tau = step / 8;
    }
  }
  for (let round = 0; round < 20; round++) {
    const { slope, bend } = sums(tau);
    if (bend >= 0) break;
    const move = Math.max(-0.25, Math.min(0.25, slope / bend));
    tau -= move;
    if (Math.abs(move) < 1e-12) break;
  }
  return tau;
}
