import { solveEquations } from './linear-equations.ts';

/** A stretch of the spectrum that a filter is designed for: angles in radians a sample, what it wants there, how much it matters. */
export interface DesignBand {
  readonly from: number;
  readonly to: number;
  readonly gain: number;
  readonly weight: number;
}

/**
 * Linear-phase filter of 2·half + 1 taps with the least weighted squared error over the bands; between bands it does as
 * it likes. Its response is A(ω) = Σ aₖ·cos kω, whose error's integrals over a band are closed forms, so the aₖ follow
 * from one set of linear equations. Solved in double precision it reaches about −150 dB.
 * @returns the first half of the symmetric taps and the middle one, half + 1 numbers, scaled to gain 1 at 0 Hz
 */
export function leastSquaresFir(half: number, bands: readonly DesignBand[]): Float64Array {
  const n = half + 1;
  const matrix = Array.from({ length: n }, () => new Float64Array(n));
  const wanted = new Float64Array(n);
  for (const { from, to, gain, weight } of bands) {
    const integral = (k: number) => (k === 0 ? to - from : (Math.sin(k * to) - Math.sin(k * from)) / k);
    const integrals = Float64Array.from({ length: 2 * half + 1 }, (_, k) => integral(k));
    for (let row = 0; row < n; row++) {
      wanted[row] += weight * gain * integrals[row];
      for (let column = 0; column < n; column++) {
        matrix[row][column] += (weight * (integrals[Math.abs(row - column)] + integrals[row + column])) / 2;
      }
    }
  }
  const cosines = solveEquations(matrix, wanted);
  const sum = cosines.reduce((total, a) => total + a, 0);
  return Float64Array.from({ length: n }, (_, i) => (i === half ? cosines[0] : cosines[half - i] / 2) / sum);
}
