import { besselI0 } from '../../dsp/bessel.ts';

/** sin(πt)/(πt) */
export function sinc(t: number): number {
  return t === 0 ? 1 : Math.sin(Math.PI * t) / (Math.PI * t);
}

/** Kaiser's window over −1 to 1, 1 in the middle. */
export function kaiser(t: number, beta: number): number {
  return Math.abs(t) >= 1 ? 0 : besselI0(beta * Math.sqrt(1 - t * t)) / besselI0(beta);
}
