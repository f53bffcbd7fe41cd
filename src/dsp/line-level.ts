/** Level and place of a steady line that lies between the bins of a spectrum. */
import { powerToDb } from './units.ts';
import { cosineTerms, type WindowName } from './windows.ts';

/** Steps of the table from a bin's centre to half-way to the next. */
const STEPS = 64;
/** Least ratio of neighbours that a place is read from; below it both are alike. */
const LEAST_DB = 1e-9;

interface Lobe {
  /** Ratio of the nearer neighbour to the farther one, dB, for each step of the line's offset. */
  readonly ratioDb: Float64Array;
  /** What the bin loses of the line's power at each step, as the factor that gives it back. */
  readonly factor: Float64Array;
}

const lobes = new Map<WindowName, Lobe>();

export interface PlacedLine {
  /** Place of the line in bins, fractional. */
  readonly bin: number;
  /** Its power, in the unit of the spectrum. */
  readonly power: number;
}

/**
 * The line that makes a local maximum at `bin`. Where it lies between the bins follows from its two neighbours and the
 * window's own main lobe, and with that what the bin has lost of it: nothing is fitted. Exact for a line on its own;
 * with others within the main lobe the correction stays within the window's largest loss (0.83 dB for the 4-term
 * Blackman-Harris, 1.42 dB for Hann).
 * @param power bins of a power spectrum made with `window`
 */
export function lineAt(power: ArrayLike<number>, bin: number, window: WindowName): PlacedLine {
  const below = power[bin - 1] ?? 0;
  const above = power[bin + 1] ?? 0;
  if (!(below > 0) || !(above > 0)) return { bin, power: power[bin] };
  const ratio = powerToDb(above / below);
  const size = Math.abs(ratio);
  if (size < LEAST_DB) return { bin, power: power[bin] };
  const { ratioDb, factor } = lobeOf(window);
  let low = 0;
  let high = STEPS;
  if (size >= ratioDb[STEPS]) low = STEPS - 1;
  else {
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (ratioDb[middle] <= size) low = middle;
      else high = middle;
    }
  }
  const share = Math.min(1, (size - ratioDb[low]) / (ratioDb[low + 1] - ratioDb[low]));
  const offset = (0.5 * (low + share)) / STEPS;
  return {
    bin: bin + (ratio > 0 ? offset : -offset),
    power: power[bin] * (factor[low] + share * (factor[low + 1] - factor[low])),
  };
}

/** True where a bin is a local maximum; of two alike the lower one. */
export function isPeak(power: ArrayLike<number>, bin: number): boolean {
  return power[bin] > power[bin - 1] && power[bin] >= power[bin + 1];
}

function lobeOf(window: WindowName): Lobe {
  let lobe = lobes.get(window);
  if (!lobe) {
    const terms = cosineTerms(window);
    const offsets = Float64Array.from({ length: STEPS + 1 }, (_, i) => (0.5 * i) / STEPS);
    const centre = response(terms, 0);
    lobe = {
      ratioDb: offsets.map((x) => 2 * powerToDb(response(terms, 1 - x) / response(terms, 1 + x))),
      factor: offsets.map((x) => (centre / response(terms, x)) ** 2),
    };
    lobes.set(window, lobe);
  }
  return lobe;
}

/**
 * Response of a cosine-sum window `x` bins beside a line, of a frame that is long against its main lobe:
 * a₀·sinc x + ½·Σ a_k·(sinc(x − k) + sinc(x + k)). The window's alternating signs and those of the shifted kernels
 * cancel (Harris 1978).
 */
function response(terms: readonly number[], x: number): number {
  return Math.abs(
    terms.reduce((sum, a, k) => sum + (k === 0 ? a * sinc(x) : 0.5 * a * (sinc(x - k) + sinc(x + k))), 0),
  );
}

function sinc(x: number): number {
  return x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x);
}
