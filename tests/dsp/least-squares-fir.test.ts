import { describe, expect, it } from 'vitest';
import { leastSquaresFir } from '../../src/dsp/least-squares-fir.ts';
import { near } from './near.ts';

/** Response of the symmetric filter at an angle, by the sum itself. */
function response(half: Float64Array, angle: number): number {
  const middle = half.length - 1;
  return half.reduce((sum, tap, i) => sum + (i === middle ? 1 : 2) * tap * Math.cos((middle - i) * angle), 0);
}

describe('leastSquaresFir', () => {
  it('is the truncated Fourier series where everything counts alike', () => {
    // The least squares of an ideal low-pass over the whole circle are its own coefficients, sin(kω)/(πk) (Parseval).
    const cut = 0.4 * Math.PI;
    const half = leastSquaresFir(12, [
      { from: 0, to: cut, gain: 1, weight: 1 },
      { from: cut, to: Math.PI, gain: 0, weight: 1 },
    ]);
    const series = Array.from({ length: 13 }, (_, i) =>
      i === 12 ? 0.4 : Math.sin((12 - i) * cut) / (Math.PI * (12 - i)),
    );
    const sum = series.reduce((total, tap, i) => total + (i === 12 ? 1 : 2) * tap, 0);
    for (const [i, tap] of half.entries()) near(tap, series[i] / sum, 1e-12);
  });

  it('stops and passes what it is told to', () => {
    const [pass, stop] = [20, 24.1].map((kilohertz) => (Math.PI * kilohertz) / 44.1);
    const half = leastSquaresFir(49, [
      { from: 0, to: pass, gain: 1, weight: 1 },
      { from: stop, to: Math.PI, gain: 0, weight: 1e8 },
    ]);
    near(response(half, 0), 1, 1e-12);
    for (let angle = stop; angle < Math.PI; angle += 0.003) expect(Math.abs(response(half, angle))).toBeLessThan(3e-6);
    for (let angle = 0; angle < pass; angle += 0.003) near(response(half, angle), 1, 0.03);
  });
});
