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

/** sin(πt)/(πt) */
export function sinc(t: number): number {
  return t === 0 ? 1 : Math.sin(Math.PI * t) / (Math.PI * t);
}

/** Kaiser's window over −1 to 1, 1 in the middle. */
export function kaiser(t: number, beta: number): number {
  return Math.abs(t) >= 1 ? 0 : besselI0(beta * Math.sqrt(1 - t * t)) / besselI0(beta);
}
