import type { Parameter } from '../parameters.ts';

/**
 * The curve at the heart of a stage kind, as numbers. The WebAssembly kernel computes the same curve in single
 * precision; this one is the reference that the screen, the calibration and the tests use.
 *
 * Curves are in knee units: slope 1 and value 0 at the origin, bending at about 1. `difference(u) = F(u) − u` is what
 * the circuit adds to the straight line, with F normalised to its working point: F(u) = (f(u + b) − f(b)) / f′(b).
 */
export interface CurveModel {
  /** Number of coefficients the kernel reads, at most `MAX_COEFFICIENTS`. */
  readonly coefficientCount: number;
  /** Which kernel runs these values. A change of kernel is faded, not smoothed. */
  kernel(values: Float64Array): number;
  /** Writes the kernel's coefficients for these values. Allocates nothing. */
  coefficients(values: Float64Array, out: Float64Array): void;
  /** F(u) − u in double precision, for coefficients that `coefficients` wrote. */
  difference(kernel: number, coefficients: Float64Array, u: number): number;
  /**
   * Kernels with the same answer share a calibration. Returns the values at which 0 dB drive is calibrated: the
   * kind's defaults with only the choice of curve taken over.
   */
  calibrationValues(values: Float64Array): Float64Array;
  /** True when 0 dB drive puts the alignment peak at u = 1 by definition, so that nothing is to be solved. */
  readonly fixedScale?: boolean;
}

export interface StageKind {
  readonly id: string;
  readonly label: string;
  readonly about: string;
  /** In the order the screen shows them. */
  readonly parameters: readonly Parameter[];
  readonly curve: CurveModel;
}

export const MAX_COEFFICIENTS = 16;

/** Kernel numbers; `worklets/kernels/shape.ts` holds the same list. */
export const Kernel = {
  tanh: 0,
  arctangent: 1,
  cubic: 2,
  algebraicSquare: 3,
  algebraicOne: 4,
  algebraic: 5,
  hardClip: 6,
  harmonicSet: 7,
  diodePair: 8,
} as const;

/** Where each parameter stands in a stage's vector of values. */
export function indexOf<const T extends readonly Parameter[]>(parameters: T): Record<string, number> {
  return Object.fromEntries(parameters.map((parameter, index) => [parameter.id, index]));
}
