/** Tonal balance in third-octave bands (IEC 61260-1, base 10). */
import FFT from 'fft.js';
import type { Decibels, Hertz } from './units.ts';
import { powerToDb } from './units.ts';
import { makeWindow } from './windows.ts';

/** Exact mid-band frequencies 10^(n/10) for n = 14 to 42. */
export const THIRD_OCTAVE_CENTRES: readonly Hertz[] = Array.from({ length: 29 }, (_, i) => 10 ** ((14 + i) / 10));

/** What the bands are called: 25 Hz to 16 kHz. */
export const THIRD_OCTAVE_NAMES: readonly Hertz[] = [
  25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000,
  5000, 6300, 8000, 10000, 12500, 16000,
];

/** Half a band's width as a ratio: 10^(1/20). */
const HALF_BAND = 10 ** 0.05;
/** Longest frame in seconds that a power of two may stay under twice: the 25 Hz band then spans four bins. */
const FRAME_SECONDS = 0.64;
/** Bands this far below the strongest hold only the window's leakage and rounding. */
const FLOOR_DB = 120;

/**
 * Mean-square power of each band, summed over the channels (a full-scale sine in one channel: 0.5 in its band).
 *
 * A long FFT averaged over the whole recording. Hann frames a third of a frame apart weigh every sample alike, since
 * three copies of Hann² shifted by thirds sum to 9/8; frames reach beyond both ends for the same reason. Bins on a
 * band edge are split. Two channels go through one complex transform: |Z(k)|² + |Z(−k)|² = 2(|L|² + |R|²).
 * Bands that reach above half the sample rate are 0; not finite samples count as 0.
 */
export function thirdOctavePowers(channels: readonly Float32Array[], sampleRate: Hertz): Float64Array {
  const bands = new Float64Array(THIRD_OCTAVE_CENTRES.length);
  const length = channels[0]?.length ?? 0;
  if (length === 0) return bands;
  const size = 2 ** Math.ceil(Math.log2(FRAME_SECONDS * sampleRate));
  const bins = new Float64Array(size / 2 + 1);
  for (let c = 0; c < channels.length; c += 2) addPowers(bins, channels[c], channels[c + 1], length, size);
  for (let band = 0; band < bands.length; band++) {
    const low = (THIRD_OCTAVE_CENTRES[band] / HALF_BAND) * (size / sampleRate);
    const high = THIRD_OCTAVE_CENTRES[band] * HALF_BAND * (size / sampleRate);
    bands[band] = high <= size / 2 ? sumBins(bins, low, high) : 0;
  }
  return bands;
}

/**
 * Level of `after` over `before` for each band in dB; null where either has no energy of its own (`floorDb` or more below
 * its strongest band; by default what only leakage and rounding put there).
 */
export function thirdOctaveDifference(
  before: Float64Array,
  after: Float64Array,
  floorDb: Decibels = FLOOR_DB,
): (Decibels | null)[] {
  const share = 10 ** (-floorDb / 10);
  const floorBefore = share * before.reduce((most, power) => Math.max(most, power), 0);
  const floorAfter = share * after.reduce((most, power) => Math.max(most, power), 0);
  return Array.from(before, (power, band) =>
    power > floorBefore && after[band] > floorAfter ? powerToDb(after[band] / power) : null,
  );
}

/** Adds the mean-square power of each bin, averaged over the recording, of one channel or of a pair. */
function addPowers(
  bins: Float64Array,
  left: Float32Array,
  right: Float32Array | undefined,
  length: number,
  size: number,
): void {
  const fft = new FFT(size);
  const window = makeWindow('hann', size);
  const input = new Float64Array(2 * size);
  const output = new Float64Array(2 * size);
  const hop = size / 3;
  // Σ over frames of w² is 9/8 at every sample, and Parseval's sum has 1/size; one-sided bins hold both signs.
  const scale = 1 / ((9 / 8) * size * length);
  for (let frame = -2; frame * hop < length; frame++) {
    const start = Math.round(frame * hop);
    for (let i = 0; i < size; i++) {
      const at = start + i;
      const inside = at >= 0 && at < length;
      input[2 * i] = inside ? window[i] * finite(left[at]) : 0;
      input[2 * i + 1] = inside && right !== undefined ? window[i] * finite(right[at]) : 0;
    }
    fft.transform(output, input);
    for (let bin = 0; bin < bins.length; bin++) {
      const mirror = (size - bin) % size;
      const power =
        output[2 * bin] ** 2 + output[2 * bin + 1] ** 2 + output[2 * mirror] ** 2 + output[2 * mirror + 1] ** 2;
      // DC and half the rate are their own mirrors.
      bins[bin] += scale * (mirror === bin ? power / 2 : power);
    }
  }
}

function finite(x: number): number {
  return x - x === 0 ? x : 0;
}

/** Sum of the bins between two places on the bin axis; bin b covers b − ½ to b + ½. */
function sumBins(bins: Float64Array, low: number, high: number): number {
  let sum = 0;
  for (let bin = Math.round(low); bin <= Math.round(high) && bin < bins.length; bin++) {
    sum += bins[bin] * Math.max(0, Math.min(high, bin + 0.5) - Math.max(low, bin - 0.5));
  }
  return sum;
}
