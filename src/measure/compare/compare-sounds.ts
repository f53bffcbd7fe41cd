/** Two recordings against each other: where they lie, how loud they are, and what is left of one without the other. */
import type { Measurement } from '../../dsp/measure.ts';
import { measure } from '../../dsp/measure.ts';
import { THIRD_OCTAVE_NAMES, thirdOctaveDifference, thirdOctavePowers } from '../../dsp/third-octaves.ts';
import { gainToDb, orNull, powerToDb } from '../../dsp/units.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import type { ChannelMatch, MatchedChannels } from './channel-match.ts';
import { mapped, matchChannels } from './channel-match.ts';
import { commonBand } from './common-band.ts';
import { findDelay, phaseDelay } from './find-delay.ts';
import { fractionalDelay } from './fractional-delay.ts';
import type { Outside } from './outside.ts';
import { outsideOf } from './outside.ts';
import { filtered } from './overlap-save.ts';
import { pairMoments } from './pair-moments.ts';

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

/** What isn't defined (silence, recordings that have nothing in common) is null, never NaN or infinite. */
export interface Comparison {
  readonly sampleRate: number;
  readonly framesA: number;
  readonly framesB: number;
  /** Up to here, Hz, the two are compared where their rates differed; null: all of it. */
  readonly bandHz: number | null;
  /**
   * False below a correlation of `RELATED`: not the same recording, so that there is no delay, gain or polarity to tell.
   * Null where one is silent.
   */
  readonly related: boolean | null;
  /** Frames that both have once they are aligned; residual, gain and loudness difference are of these. */
  readonly overlapFrames: number;
  /** Sound of either recording that the other has nothing beside; null where they aren't related. */
  readonly outside: Outside | null;
  /** Samples by which B is later than A: whole, what is left of it (−½ to ½), and both together. */
  readonly delayWholeSamples: number | null;
  readonly delayFractionSamples: number | null;
  readonly delaySamples: number | null;
  readonly delaySeconds: number | null;
  readonly polarity: 'same' | 'inverted' | null;
  /** How B's sides are made of A's; residual and gain are with A's sides put so. */
  readonly channelMatch: ChannelMatch | null;
  /** B's right side over its left one, against A, dB; 0 where that says nothing of note. */
  readonly balanceDb: number | null;
  /** Size of the correlation coefficient at the likeliest delay, sides as they match, 0 to 1. */
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

/** A comparison, and what of it only the import check needs: gains as factors, powers, the sides' mapping. */
export interface CompareResult {
  readonly comparison: Comparison;
  /** Null where the two aren't related, or one is silent. */
  readonly aligned: Aligned | null;
}

export interface Aligned {
  readonly whole: number;
  readonly fraction: number;
  readonly gain: number;
  readonly channels: MatchedChannels;
  /** Frames of A that B has too. */
  readonly from: number;
  readonly to: number;
  /** Mean squares over the overlap, summed over the sides: B, and what is left of it. */
  readonly power: number;
  readonly left: number;
  /** What is left in each third octave, as `power`. */
  readonly leftBands: Float64Array;
  readonly soundBands: Float64Array;
  /** B as it was compared, in the common band. */
  readonly b: Planes;
}

/** Below this correlation two recordings aren't told apart from strangers. */
export const RELATED = 0.3;
/** Frames at both ends that don't count where a resampler was at work. */
const EDGE = 512;
/** A fraction of a sample must lower what is left by 0.1 dB at least, or it is only the noise's. */
const WORTH_IT = 10 ** -0.01;
/** Bands this far below the strongest are not heard beside it. */
const BAND_FLOOR_DB = 60;

/**
 * Compares two recordings of one rate; lengths and channels may differ, one channel counts as on both sides. A fraction
 * of a sample is only taken out where that leaves less than whole samples do. Yields now and then.
 * @param rateB the rate that B had before it was brought to A's
 * @throws RangeError where the rate is below 8 kHz
 */
export function* compareSounds(
  a: Planes,
  b: Planes,
  sampleRate: number,
  rateB = sampleRate,
): Generator<void, Comparison> {
  return (yield* compareClosely(a, b, sampleRate, rateB)).comparison;
}

/**
 * As `compareSounds`.
 * @param knownDelay whole samples, where it is known otherwise that the two belong together and how
 */
export function* compareClosely(
  wholeA: Planes,
  wholeB: Planes,
  sampleRate: number,
  rateB = sampleRate,
  knownDelay?: number,
): Generator<void, CompareResult> {
  const figuresA = measure(wholeA, sampleRate);
  yield;
  const figuresB = measure(wholeB, sampleRate);
  yield;
  const change = (key: 'plrDb' | 'truePeakDbtp') => difference(figuresB[key], figuresA[key]);
  const band = commonBand(sampleRate, rateB);
  const common = {
    sampleRate,
    framesA: wholeA[0].length,
    framesB: wholeB[0].length,
    bandHz: band?.hz ?? null,
    plrChangeDb: change('plrDb'),
    truePeakChangeDb: change('truePeakDbtp'),
    a: figuresA,
    b: figuresB,
  };
  const a = band ? yield* filtered(wholeA, band.kernel, band.centre) : wholeA;
  const b = band ? yield* filtered(wholeB, band.kernel, band.centre) : wholeB;
  const nothing = (related: false | null, correlation: number | null): CompareResult => ({
    comparison: { ...common, ...NOTHING, related, correlation },
    aligned: null,
  });
  const likeliest = knownDelay ?? (yield* findDelay(a, b, sampleRate));
  if (likeliest === null) return nothing(silent(a) || silent(b) ? null : false, silent(a) || silent(b) ? null : 0);
  const channels = matchChannels(pairMoments(a, b, likeliest));
  const correlation = Math.abs(channels.correlation);
  if (correlation < RELATED && knownDelay === undefined) return nothing(false, correlation);
  const polarity = channels.correlation < 0 ? -1 : 1;
  const placed = mapped(a, channels);
  const tau = knownDelay === undefined ? yield* phaseDelay(placed, b, likeliest, polarity) : 0;
  const delay = { whole: likeliest + Math.round(tau), fraction: tau - Math.round(tau), polarity } as const;
  const planes = Math.max(placed.length, b.length);
  // Where a sound begins or ends at once, what a resampler rings beyond is lost.
  const edge = band ? Math.min(EDGE, Math.floor(a[0].length / 8)) : 0;
  const first = Math.max(edge, edge - delay.whole);
  const last = Math.max(first, Math.min(a[0].length, b[0].length - delay.whole) - edge);
  const cut = (signal: Planes, lag: number) =>
    Array.from({ length: planes }, (_, side) =>
      signal[Math.min(side, signal.length - 1)].subarray(first + lag, last + lag),
    );
  const x = cut(placed, 0);
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
  const frames = Math.max(1, last - first);
  return {
    comparison: {
      ...common,
      related: true,
      overlapFrames: last - first,
      outside: outsideOf(a, b, delay.whole, sampleRate),
      delayWholeSamples: delay.whole,
      delayFractionSamples: fraction,
      delaySamples,
      delaySeconds: delaySamples / sampleRate,
      polarity: delay.polarity === 1 ? 'same' : 'inverted',
      channelMatch: channels.match,
      balanceDb: channels.balanceDb,
      correlation,
      gainDb: orNull(gainToDb(gain)),
      gainLu: difference(measure(y, sampleRate).integratedLufs, measure(x, sampleRate).integratedLufs),
      identical: power === 0,
      residualDb: orNull(powerToDb(power / total)),
      bands: comparedBands(before, after, left, gain * gain),
    },
    aligned: {
      whole: delay.whole,
      fraction,
      gain,
      channels,
      from: first,
      to: last,
      power: ((2 / planes) * total) / frames,
      left: ((2 / planes) * power) / frames,
      leftBands: left.map((one) => (2 / planes) * one),
      soundBands: after.map((one) => (2 / planes) * one),
      b,
    },
  };
}

function silent(planes: Planes): boolean {
  return planes.every((plane) => plane.every((x) => x === 0));
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
  outside: null,
  delayWholeSamples: null,
  delayFractionSamples: null,
  delaySamples: null,
  delaySeconds: null,
  polarity: null,
  channelMatch: null,
  balanceDb: null,
  gainDb: null,
  gainLu: null,
  identical: false,
  residualDb: null,
  bands: THIRD_OCTAVE_NAMES.map((hz) => ({ hz, differenceDb: null, residualDb: null })),
} as const;

/** What is left with the delay's fraction taken out; it is looked for once more, since little is easier to find exactly. */
function* withFraction(
  x: Planes,
  y: Planes,
  { fraction, polarity }: { readonly fraction: number; readonly polarity: 1 | -1 },
) {
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
