/** Delay of one signal against another, whichever of its sides stands where. */
import { makeWindow } from '../../dsp/windows.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import { envelopeLags } from './envelope-lag.ts';
import { explainedShare, pairMoments } from './pair-moments.ts';
import { PairTransform } from './pair-transform.ts';

/** Stretch of `a` that is looked for in `b`, samples, and how far to each side. */
const STRETCH = 1 << 15;
const SEGMENTS = 6;
/** Lags that are taken from around each likely one: a near-repeat may be as loud as the place itself. */
const PEAKS = 3;
/** Lags that are looked over quickly, and of which so many are then read whole. */
const FINALISTS = 4;
/** Frame of the cross-spectrum whose phase gives the fraction. */
const FRAME = 1 << 13;
const MOST_FRAMES = 400;
/** Two recordings of which so much is the same, from end to end, lie right. */
const WHOLE = 0.98;
/** Of lags that are alike but for this, the one nearest to no delay is it. */
const TIE = 1e-6;

/**
 * Whole samples by which `b` is later than `a`. No lag and the likeliest lags of the envelopes, which may be any, are tried;
 * around each the correlation of the loudest stretches, over all pairs of sides, gives candidates. The one is taken at
 * which most of the two is explained: the share of B's power that A explains where they meet, times the share of A's or
 * B's power that lies there, whichever is more; so an exact excerpt wins over a louder place like it, and a short
 * likeness counts for little. Null for silence.
 */
export function* findDelay(a: Planes, b: Planes, sampleRate: number): Generator<void, number | null> {
  const [sumsA, sumsB] = [a, b].map(runningEnergy);
  const [powerA, powerB] = [sumsA, sumsB].map((sums) => sums[sums.length - 1]);
  if (powerA === 0 || powerB === 0) return null;
  const around = new Set([0, ...envelopeLags(a, b, sampleRate)]);
  yield;
  const transform = new PairTransform(2 * STRETCH);
  const score = (lag: number, isQuick: boolean) => {
    const moments = pairMoments(a, b, lag, isQuick);
    const [from, to] = [Math.max(0, -lag), Math.min(a[0].length, b[0].length - lag)];
    const shareA = energyBetween(sumsA, from, to) / powerA;
    const shareB = energyBetween(sumsB, from + lag, to + lag) / powerB;
    const share = explainedShare(moments);
    return { lag, score: share * Math.min(1, Math.max(shareA, shareB)), both: share * Math.min(1, shareA, shareB) };
  };
  const tried = new Map<number, ReturnType<typeof score>>();
  for (const middle of around) {
    for (const lag of searchAround(transform, a, b, middle)) {
      if (!tried.has(lag)) tried.set(lag, score(lag, true));
      yield;
    }
    // Nothing can be more alike, or the whole of both lies one on the other.
    if ([...tried.values()].some((one) => one.score > 1 - TIE || one.both > WHOLE)) break;
  }
  const ranked = [...tried.values()].sort((one, other) => other.score - one.score).slice(0, FINALISTS);
  const whole = ranked.map(({ lag }) => score(lag, false));
  const most = Math.max(...whole.map((one) => one.score));
  const best = whole
    .filter((one) => one.score >= most - TIE)
    .sort((one, other) => Math.abs(one.lag) - Math.abs(other.lag));
  return best.length > 0 && most > 0 ? best[0].lag : null;
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

/** Blocks in which energies are summed beforehand, frames. */
const ENERGY_BLOCK = 256;

/** Energy before each block; the last value is the whole. */
function runningEnergy(planes: Planes): Float64Array {
  const { length } = planes[0];
  const sums = new Float64Array(Math.ceil(length / ENERGY_BLOCK) + 1);
  for (let n = 1; n < sums.length; n++) {
    sums[n] = sums[n - 1] + energy(planes, (n - 1) * ENERGY_BLOCK, Math.min(length, n * ENERGY_BLOCK));
  }
  return sums;
}

/** To within a block at both ends. */
function energyBetween(sums: Float64Array, from: number, to: number): number {
  return sums[Math.ceil(to / ENERGY_BLOCK)] - sums[Math.floor(from / ENERGY_BLOCK)];
}

/** The lags within half a stretch of `around` with the largest correlations; none where the two don't meet. */
export function searchAround(transform: PairTransform, a: Planes, b: Planes, around: number): number[] {
  const from = Math.max(0, -around);
  const to = Math.min(a[0].length, b[0].length - around);
  const segments = to > from ? loudestSegments(a, from, to) : [];
  if (segments.length === 0) return [];
  const [straight, crossed] = [new Float64Array(2 * transform.size), new Float64Array(2 * transform.size)];
  const half = STRETCH / 2;
  for (const start of segments) {
    transform.load('a', a, start, STRETCH);
    transform.load('b', b, start + around - half, 2 * STRETCH);
    transform.accumulatePairs(straight, crossed);
  }
  const correlation = transform.pairCorrelation(straight, crossed);
  const peaks: number[] = [];
  for (let lag = 0; lag <= STRETCH; lag++) {
    const value = correlation[lag];
    const isPeak = value > 0 && !(lag > 0 && correlation[lag - 1] > value) && !(correlation[lag + 1] > value);
    if (!isPeak) continue;
    peaks.push(lag);
    peaks.sort((one, other) => correlation[other] - correlation[one]);
    peaks.length = Math.min(peaks.length, PEAKS);
  }
  return peaks.map((lag) => around + lag - half);
}

/**
 * The delay, in samples, that is left when `b` is read `whole` samples later; at most about one. It is the slope of the
 * phase of the averaged cross-spectrum, S = |S|·e^(−jωτ): the τ with the largest Σ w·cos(φ + ωτ), bins weighted by
 * γ²/(1 − γ²) as for the maximum likelihood (Knapp and Carter 1976; from memory).
 */
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
