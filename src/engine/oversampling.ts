/**
 * Half-band filters for over-sampling by 4 or 8, and the latency they give.
 *
 * Each doubling uses a Kaiser-windowed half-band (Kaiser 1974: β = 0.1102(A − 8.7), length from A and the transition;
 * from memory). Only what ends up below 20 kHz has to be clean: the first filter passes 20 kHz and stops 28 kHz at
 * 48 kHz, and later ones have ever wider transitions. Figures scale with the sample rate.
 */
import { besselI0 } from '../dsp/bessel.ts';

/** Half the length of each doubling's filter branch (total taps 4·pairs − 1) and its stop-band attenuation, dB. */
const HALF_BANDS = [
  { pairs: 24, attenuationDb: 124 },
  { pairs: 8, attenuationDb: 132 },
  { pairs: 6, attenuationDb: 132 },
] as const;

/** Latency of every rack, whatever is in it, in frames. */
export const RACK_LATENCY = 65;

export const MAX_STAGES = 8;

/** Frames that the corner shaping delays a stage by, at the higher rate; worklets/kernels/corners.ts, LOOKAHEAD. */
export const CORNER_DELAY = 5;

/** From this base rate on firm curves are shaped at 4×, below at 8×: from about 350 kHz on they are clean. */
const FAST_BASE_RATE = 80_000;

export interface OversamplingLayout {
  readonly factor: 4 | 8;
  readonly doublings: readonly { readonly pairs: number; readonly taps: Float64Array }[];
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

/** Filters and padding for a factor. */
export function oversamplingLayout(factor: 4 | 8): OversamplingLayout {
  const doublings = HALF_BANDS.slice(0, factor === 4 ? 2 : 3).map(({ pairs, attenuationDb }) => ({
    pairs,
    taps: halfBandBranch(pairs, attenuationDb),
  }));
  let delay = 0;
  doublings.forEach(({ pairs }, index) => {
    // Up and down, each 2·pairs − 1 frames at this doubling's rate.
    delay += (2 * (2 * pairs - 1) * factor) / 2 ** (index + 1);
  });
  return { factor, doublings, padding: RACK_LATENCY * factor - delay };
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
