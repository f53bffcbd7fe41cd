/** Two recordings against each other: where they lie, how loud they are, and what is left of one without the other. */
import type { Measurement } from '../../dsp/measure.ts';
import { measure } from '../../dsp/measure.ts';
import { THIRD_OCTAVE_NAMES, thirdOctaveDifference, thirdOctavePowers } from '../../dsp/third-octaves.ts';
import { gainToDb, orNull, powerToDb } from '../../dsp/units.ts';
import type { Planes } from '../rack-renderer.ts';
import type { Delay } from './find-delay.ts';
import { findDelay, phaseDelay } from './find-delay.ts';
import { fractionalDelay } from './fractional-delay.ts';

/** One third octave of the comparison; null where a recording has no energy of its own there. */
export interface ComparedBand {
  /** Nominal mid-band frequency, Hz. */
  readonly hz: number;
  /** Level of B over A, dB. */
  readonly differenceDb: number | null;
  /**
   * What is left of B without A after the best gain and delay, against B in this band, dB; null too where both lie 60 dB
   * below the strongest band, so that nothing that isn't heard beside it counts.
   */
  readonly residualDb: number | null;
}

/** What isn't defined (silence, signals that have nothing in common) is null, never NaN or infinite. */
export interface Comparison {
  readonly sampleRate: number;
  readonly framesA: number;
  readonly framesB: number;
  /** Frames that both have once they are aligned; residual, gain and loudness difference are of these. */
  readonly overlapFrames: number;
  /** Samples by which B is later than A: whole, what is left of it (−½ to ½), and both together. */
  readonly delayWholeSamples: number | null;
  readonly delayFractionSamples: number | null;
  readonly delaySamples: number | null;
  readonly delaySeconds: number | null;
  readonly polarity: 'same' | 'inverted' | null;
  /** Correlation coefficient at the delay, 0 to 1. */
  readonly correlation: number | null;
  /** Gain from A to B that leaves least, dB. */
  readonly gainDb: number | null;
  /** BS.1770-5 loudness of B less that of A, LU. */
  readonly gainLu: number | null;
  /** True where B is A times a gain, sample for sample: nothing is left, and the residual is null. */
  readonly identical: boolean;
  /** Power of what is left of B without A, against B, dB. */
  readonly residualDb: number | null;
  readonly bands: readonly ComparedBand[];
  /** B less A, over the whole of each. */
  readonly plrChangeDb: number | null;
  readonly truePeakChangeDb: number | null;
  readonly a: Measurement;
  readonly b: Measurement;
}

/** A fraction of a sample must lower what is left by 0.1 dB at least, or it is only the noise's. */
const WORTH_IT = 10 ** -0.01;
/** Bands this far below the strongest are not heard beside it. */
const BAND_FLOOR_DB = 60;

/**
 * Compares two recordings of one rate; lengths and channels may differ, one channel counts as on both sides. A fraction
 * of a sample is only taken out where that leaves less than whole samples do. Yields now and then.
 * @throws RangeError where the rate is below 8 kHz
 */
export function* compareSounds(a: Planes, b: Planes, sampleRate: number): Generator<void, Comparison> {
  const figuresA = measure(a, sampleRate);
  yield;
  const figuresB = measure(b, sampleRate);
  yield;
  const change = (key: 'plrDb' | 'truePeakDbtp') => difference(figuresB[key], figuresA[key]);
  const common = {
    sampleRate,
    framesA: a[0].length,
    framesB: b[0].length,
    plrChangeDb: change('plrDb'),
    truePeakChangeDb: change('truePeakDbtp'),
    a: figuresA,
    b: figuresB,
  };
  const delay = yield* findDelay(a, b, sampleRate);
  if (!delay) return { ...common, ...NOTHING };
  const planes = Math.max(a.length, b.length);
  const first = Math.max(0, -delay.whole);
  const last = Math.min(a[0].length, b[0].length - delay.whole);
  const cut = (signal: Planes, lag: number) =>
    Array.from({ length: planes }, (_, side) =>
      signal[Math.min(side, signal.length - 1)].subarray(first + lag, last + lag),
    );
  const x = cut(a, 0);
  const y = cut(b, delay.whole);
  const straight = leftOver(x, y);
  yield;
  const exact = yield* withFraction(x, y, delay);
  const isWhole = !exact || exact.power > WORTH_IT * straight.power;
  const { gain, power, total, residual } = isWhole ? straight : exact;
  const fraction = isWhole ? 0 : exact.fraction;
  const delaySamples = delay.whole + fraction;
  const [before, after, left] = [x, y, residual].map((signal) => thirdOctavePowers(signal, sampleRate));
  yield;
  return {
    ...common,
    overlapFrames: last - first,
    delayWholeSamples: delay.whole,
    delayFractionSamples: fraction,
    delaySamples,
    delaySeconds: delaySamples / sampleRate,
    polarity: delay.polarity === 1 ? 'same' : 'inverted',
    correlation: delay.correlation,
    gainDb: orNull(gainToDb(gain)),
    gainLu: difference(measure(y, sampleRate).integratedLufs, measure(x, sampleRate).integratedLufs),
    identical: power === 0,
    residualDb: orNull(powerToDb(power / total)),
    bands: comparedBands(before, after, left, gain * gain),
  };
}

/** @param power gain of A as a power ratio */
function comparedBands(before: Float64Array, after: Float64Array, left: Float64Array, power: number): ComparedBand[] {
  const tone = thirdOctaveDifference(before, after);
  const loudest = after.reduce((most, one) => Math.max(most, one), 0);
  return THIRD_OCTAVE_NAMES.map((hz, i) => {
    const isHeard = Math.max(after[i], power * before[i]) > loudest * 10 ** (-BAND_FLOOR_DB / 10);
    return {
      hz,
      differenceDb: tone[i],
      residualDb: isHeard && after[i] > 0 ? orNull(powerToDb(left[i] / after[i])) : null,
    };
  });
}

const NOTHING = {
  overlapFrames: 0,
  delayWholeSamples: null,
  delayFractionSamples: null,
  delaySamples: null,
  delaySeconds: null,
  polarity: null,
  correlation: null,
  gainDb: null,
  gainLu: null,
  identical: false,
  residualDb: null,
  bands: THIRD_OCTAVE_NAMES.map((hz) => ({ hz, differenceDb: null, residualDb: null })),
} as const;

/** What is left with the delay's fraction taken out; it is looked for once more, since little is easier to find exactly. */
function* withFraction(x: Planes, y: Planes, { fraction, polarity }: Delay) {
  if (fraction === 0) return null;
  const near = yield* fractionalDelay(x, fraction);
  const exact = fraction + (yield* phaseDelay(near, y, 0, polarity));
  // A delay of more than a sample would be another whole one.
  if (Math.abs(exact) > 0.6) return { fraction, ...leftOver(near, y) };
  const there = yield* fractionalDelay(x, exact);
  return { fraction: exact, ...leftOver(there, y) };
}

/** y − g·x with the g that leaves least, and powers over all planes. */
function leftOver(x: Planes, y: Planes) {
  let xy = 0;
  let xx = 0;
  let total = 0;
  y.forEach((plane, side) => {
    const other = x[side];
    for (let i = 0; i < plane.length; i++) {
      xy += other[i] * plane[i];
      xx += other[i] * other[i];
      total += plane[i] * plane[i];
    }
  });
  const gain = xx > 0 ? xy / xx : 0;
  let power = 0;
  const residual = y.map((plane, side) => {
    const other = x[side];
    const out = new Float32Array(plane.length);
    for (let i = 0; i < plane.length; i++) {
      const rest = plane[i] - gain * other[i];
      power += rest * rest;
      out[i] = rest;
    }
    return out;
  });
  return { gain, power, total, residual };
}

function difference(one: number | null, other: number | null): number | null {
  return one === null || other === null ? null : one - other;
}
