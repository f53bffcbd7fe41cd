/**
 * The K-weighting filter of ITU-R BS.1770-5 (Annex 1, Tables 1 and 2) for any sample rate.
 *
 * The Recommendation prints coefficients for 48 kHz only and asks for the same frequency response elsewhere. The
 * constants below are those of the two analogue sections which the bilinear transform, pre-warped at f0, turns into
 * the printed tables (they do so to 14 digits; a test checks it).
 */
import type { BiquadCoefficients } from './biquad.ts';
import { biquadGainDb } from './biquad.ts';
import type { Decibels, Hertz } from './units.ts';

/** Stage 1: high shelf that stands for the head's effect. */
const SHELF = { frequency: 1681.974450955533, gainDb: 3.999843853973347, q: 0.7071752369554196 };
/** How the shelf's gain splits between its high-frequency and its band term: Vb = Vh^0.49967. */
const SHELF_BAND_EXPONENT = 0.4996667741545416;
/** Stage 2: high-pass (the "revised low-frequency B-curve"). */
const HIGH_PASS = { frequency: 38.13547087602444, q: 0.5003270373238773 };

/** Below this rate the shelf comes too near to half the sample rate to be the same filter. */
export const LOWEST_SAMPLE_RATE: Hertz = 8000;

export interface KWeighting {
  readonly shelf: BiquadCoefficients;
  readonly highPass: BiquadCoefficients;
}

/**
 * Both sections for one sample rate. At 44.1, 96 and 192 kHz 997 Hz reads up to 0.03 dB from its value at 48 kHz.
 * @throws RangeError if the rate isn't a finite number of at least 8000 Hz
 */
export function kWeighting(sampleRate: Hertz): KWeighting {
  if (!(sampleRate >= LOWEST_SAMPLE_RATE && Number.isFinite(sampleRate))) {
    throw new RangeError(`Loudness needs a sample rate of at least ${LOWEST_SAMPLE_RATE} Hz, not ${sampleRate}.`);
  }
  return { shelf: shelf(sampleRate), highPass: highPass(sampleRate) };
}

/** Gain of the whole K-weighting at one frequency in dB (at 48 kHz: +0.691 at 997 Hz, −13.275 at 20 Hz). */
export function kWeightingGainDb(frequency: Hertz, sampleRate: Hertz): Decibels {
  const sections = kWeighting(sampleRate);
  return biquadGainDb(sections.shelf, frequency, sampleRate) + biquadGainDb(sections.highPass, frequency, sampleRate);
}

function shelf(sampleRate: Hertz): BiquadCoefficients {
  const k = Math.tan((Math.PI * SHELF.frequency) / sampleRate);
  const high = 10 ** (SHELF.gainDb / 20);
  const band = high ** SHELF_BAND_EXPONENT;
  const d = 1 + k / SHELF.q + k * k;
  return {
    b0: (high + (band * k) / SHELF.q + k * k) / d,
    b1: (2 * (k * k - high)) / d,
    b2: (high - (band * k) / SHELF.q + k * k) / d,
    a1: (2 * (k * k - 1)) / d,
    a2: (1 - k / SHELF.q + k * k) / d,
  };
}

/** The numerator stays 1, −2, 1: the Recommendation's Table 2 doesn't normalise it, so its pass-band is not 0 dB. */
function highPass(sampleRate: Hertz): BiquadCoefficients {
  const k = Math.tan((Math.PI * HIGH_PASS.frequency) / sampleRate);
  const d = 1 + k / HIGH_PASS.q + k * k;
  return { b0: 1, b1: -2, b2: 1, a1: (2 * (k * k - 1)) / d, a2: (1 - k / HIGH_PASS.q + k * k) / d };
}
