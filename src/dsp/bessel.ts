/**
 * Modified Bessel function of the first kind, order 0, by its power series Σ ((x/2)^k / k!)² (DLMF 10.25.2), to double
 * precision for the arguments that Kaiser windows have.
 */
export function besselI0(x: number): number {
  let term = 1;
  let sum = 1;
  for (let k = 1; term > 1e-17 * sum; k++) {
    term *= (x / (2 * k)) ** 2;
    sum += term;
  }
  return sum;
}
