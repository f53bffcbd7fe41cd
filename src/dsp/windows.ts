/** Cosine-sum windows for spectra, and the figures by which they are chosen. */

export type WindowName =
  | 'hann'
  | 'blackmanHarris4'
  | 'nuttall4c'
  | 'blackmanHarris7'
  | 'iso18431FlatTop'
  | 'hft95'
  | 'hft116d'
  | 'hft144d';

/**
 * Coefficients a_k of w[i] = Σ (−1)^k·a_k·cos(2πki/n). Sources: Harris 1978 (Hann, 4-term Blackman-Harris),
 * Nuttall 1981 (4c), Albrecht 2001 (7 terms with the lowest sidelobes), ISO 18431-2, Heinzel, Rüdiger and Schilling
 * 2002 (HFT). A flat top errs least in level between two bins, Blackman-Harris keeps a strong tone's skirt lowest.
 */
const COEFFICIENTS: Readonly<Record<WindowName, readonly number[]>> = {
  hann: [0.5, 0.5],
  blackmanHarris4: [0.35875, 0.48829, 0.14128, 0.01168],
  nuttall4c: [0.3635819, 0.4891775, 0.1365995, 0.0106411],
  blackmanHarris7: [
    0.27105140069342, 0.43329793923448, 0.21812299954311, 0.06592544638803, 0.01081174209837, 0.00077658482522,
    0.00001388721735,
  ],
  iso18431FlatTop: [1, 1.933, 1.286, 0.388, 0.0322],
  hft95: [1, 1.9383379, 1.3045202, 0.402827, 0.0350665],
  hft116d: [1, 1.9575375, 1.4780705, 0.6367431, 0.1228389, 0.0066288],
  hft144d: [1, 1.96760033, 1.57983607, 0.81123644, 0.22583558, 0.02773848, 0.0009036],
};

export const WINDOW_NAMES = Object.keys(COEFFICIENTS) as WindowName[];

/** Coefficients a_k of the window, without their alternating signs. */
export function cosineTerms(name: WindowName): readonly number[] {
  return COEFFICIENTS[name];
}

/** Bins on each side of a tone that its main lobe covers: the number of cosine terms. */
export function mainLobeBins(name: WindowName): number {
  return COEFFICIENTS[name].length;
}

/** One period of the window, `size` samples (periodic, so w[0] has no twin at the end). */
export function makeWindow(name: WindowName, size: number): Float64Array {
  const coefficients = COEFFICIENTS[name];
  return Float64Array.from({ length: size }, (_, i) =>
    coefficients.reduce(
      (sum, a, k) => sum + (k % 2 === 0 ? a : -a) * Math.cos((2 * Math.PI * ((k * i) % size)) / size),
      0,
    ),
  );
}

/** Mean of the window: what it leaves of a steady tone's amplitude. */
export function coherentGain(window: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < window.length; i++) sum += window[i];
  return sum / window.length;
}

/** Equivalent noise bandwidth in bins: n·Σw²/(Σw)². */
export function enbw(window: ArrayLike<number>): number {
  let sum = 0;
  let squares = 0;
  for (let i = 0; i < window.length; i++) {
    sum += window[i];
    squares += window[i] * window[i];
  }
  return (window.length * squares) / (sum * sum);
}
