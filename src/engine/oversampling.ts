/**
 * The filters for over-sampling, and the latency they give.
 *
 * Only what ends up below 20 kHz has to be clean. From 48 kHz on each doubling is a Kaiser-windowed half-band (Kaiser's:
 * β = 0.1102(A − 8.7), length from A and the transition; docs/reference-values.md, section 10): the first passes
 * 20 kHz and stops 28 kHz at 48 kHz, and later ones have ever wider transitions. Figures scale with the sample rate.
 *
 * At 44.1 kHz a half-band of the same length would open at 18.4 kHz and close at 25.7, but what lies above 24.1 folds to
 * below 20. So the first doubling has full filters there (least squares), one for each direction: what goes down passes
 * 20 kHz and stops 24.1; what goes up may leave the very top a little softer, and so stops earlier.
 */
import { besselI0 } from '../dsp/kaiser.ts';
import { leastSquaresFir } from '../dsp/least-squares-fir.ts';

/** Half the length of each doubling's filter branch (total taps 4·pairs − 1) and its stop-band attenuation, dB. */
const HALF_BANDS = [
  { pairs: 24, attenuationDb: 124 },
  { pairs: 8, attenuationDb: 132 },
  { pairs: 6, attenuationDb: 132 },
] as const;

/** Below this base rate the first doubling's half-band would be too wide, Hz. */
const FULL_FILTER_BELOW = 47_500;
const FULL_PAIRS = 24;
/** What has to be clean, Hz; at rates below 44.1 kHz as large a share of them. */
const [AUDIBLE, OF_RATE] = [20_000, 20 / 44.1];
/** How far the full filter upwards stops before the image of what is audible, and passes before the end of it, Hz at 44.1 kHz. */
const UP_MARGIN = { stop: 300, pass: 800 };
/** Weights of errors: in the stop band and up to 17 kHz, where levels are measured, against the last of the pass band. */
const [STOP_WEIGHT, FLAT_WEIGHT] = [1e7, 1e3];
/** The share of the audible that is flat to 0.002 dB. */
const FLAT_SHARE = 0.85;

/** Latency of every rack, whatever is in it, in frames. */
export const RACK_LATENCY = 65;

export const MAX_STAGES = 8;

/** Frames that the corner shaping delays a stage by, at the higher rate; worklets/kernels/corners.ts, LOOKAHEAD. */
export const CORNER_DELAY = 6;

/** From this base rate on firm curves are shaped at 4×, below at 8×: from about 350 kHz on they are clean. */
const FAST_BASE_RATE = 80_000;

/** One doubling of the rate, or halving of it: 4·pairs − 1 taps each way. */
export interface Doubling {
  readonly pairs: number;
  /** A half-band has one branch to compute, `pairs` taps; a full filter has two, one after the other. */
  readonly isHalfBand: boolean;
  /** First half of the symmetric branches' taps; upwards doubled, since up-sampling puts a zero between samples. */
  readonly up: Float64Array;
  readonly down: Float64Array;
}

export interface OversamplingLayout {
  readonly factor: 4 | 8;
  readonly doublings: readonly Doubling[];
  /**
   * Frames at the higher rate by which what the stages add is delayed so that the whole is RACK_LATENCY; the delays of
   * corner shaping are taken out of it.
   */
  readonly padding: number;
}

/**
 * The factor for a rack with firm curves, those with corners and the diodes. Their spectrum falls too slowly for 4×,
 * even with the integral over time that corners.ts takes; smooth curves don't need more.
 */
export function firmFactor(factor: 4 | 8, sampleRate: number): 4 | 8 {
  return sampleRate < FAST_BASE_RATE ? 8 : factor;
}

/** Filters and padding for a factor at a base rate, Hz. */
export function oversamplingLayout(factor: 4 | 8, sampleRate: number): OversamplingLayout {
  const doublings = HALF_BANDS.slice(0, factor === 4 ? 2 : 3).map(({ pairs, attenuationDb }, index) =>
    index === 0 && sampleRate < FULL_FILTER_BELOW
      ? fullFilters(sampleRate)
      : halfBand(index === 0 && sampleRate >= FAST_BASE_RATE ? pairs - 1 : pairs, attenuationDb),
  );
  let delay = 0;
  doublings.forEach(({ pairs }, index) => {
    // Up and down, each 2·pairs − 1 frames at this doubling's rate.
    delay += (2 * (2 * pairs - 1) * factor) / 2 ** (index + 1);
  });
  return { factor, doublings, padding: RACK_LATENCY * factor - delay };
}

function halfBand(pairs: number, attenuationDb: number): Doubling {
  const down = halfBandBranch(pairs, attenuationDb);
  return { pairs, isHalfBand: true, up: down.map((tap) => 2 * tap), down };
}

function fullFilters(sampleRate: number): Doubling {
  const audible = Math.min(AUDIBLE, OF_RATE * sampleRate);
  const branches = (pass: number, stop: number) => {
    const angle = (hertz: number) => (Math.PI * hertz) / sampleRate;
    const taps = leastSquaresFir(2 * FULL_PAIRS - 1, [
      { from: 0, to: angle(FLAT_SHARE * audible), gain: 1, weight: FLAT_WEIGHT },
      { from: angle(FLAT_SHARE * audible), to: angle(pass), gain: 1, weight: 1 },
      { from: angle(stop), to: Math.PI, gain: 0, weight: STOP_WEIGHT },
    ]);
    const outer = taps.filter((_, i) => i % 2 === 0);
    const inner = taps.filter((_, i) => i % 2 === 1);
    // The middle tap is taken for a pair whose two frames are one.
    inner[FULL_PAIRS - 1] /= 2;
    return Float64Array.of(...outer, ...inner);
  };
  const scale = sampleRate / 44_100;
  const up = branches(audible - UP_MARGIN.pass * scale, sampleRate - audible - UP_MARGIN.stop * scale);
  const down = branches(audible, sampleRate - audible);
  return { pairs: FULL_PAIRS, isHalfBand: false, up: up.map((tap) => 2 * tap), down };
}

/**
 * The first half of a half-band's symmetric filter branch: `pairs` taps, scaled to pass DC with gain ½ in all
 * (h = ½·sinc((j − c)/2)·Kaiser at even j, c = 2·pairs − 1).
 */
function halfBandBranch(pairs: number, attenuationDb: number): Float64Array {
  const centre = 2 * pairs - 1;
  const beta = 0.1102 * (attenuationDb - 8.7);
  const taps = new Float64Array(pairs);
  let sum = 0;
  for (let i = 0; i < pairs; i++) {
    const distance = centre - 2 * i;
    const sinc = Math.sin((Math.PI * distance) / 2) / (Math.PI * distance);
    taps[i] = sinc * (besselI0(beta * Math.sqrt(1 - (distance / (centre + 1)) ** 2)) / besselI0(beta));
    sum += 2 * taps[i];
  }
  return taps.map((tap) => (tap * 0.5) / sum);
}
