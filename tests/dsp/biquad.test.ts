import { describe, it } from 'vitest';
import { biquadGainDb } from '../../src/dsp/biquad.ts';
import { near } from './near.ts';

describe('biquadGainDb', () => {
  const filter = { b0: 0.7, b1: -0.3, b2: 0.2, a1: -1.2, a2: 0.5 };

  it('equals the transfer function taken in complex numbers', () => {
    for (const frequency of [1, 100, 5000, 23_999]) {
      const w = (2 * Math.PI * frequency) / 48_000;
      const size = (c0: number, c1: number, c2: number) =>
        Math.hypot(c0 + c1 * Math.cos(w) + c2 * Math.cos(2 * w), c1 * Math.sin(w) + c2 * Math.sin(2 * w));
      const expected = 20 * Math.log10(size(0.7, -0.3, 0.2) / size(1, -1.2, 0.5));
      near(biquadGainDb(filter, frequency, 48_000), expected, 1e-10);
    }
  });

  it('keeps its digits near DC, where a double zero falls by 12 dB an octave', () => {
    const zero = { b0: 1, b1: -2, b2: 1, a1: 0, a2: 0 };
    near(biquadGainDb(zero, 2e-3, 48_000) - biquadGainDb(zero, 1e-3, 48_000), 12.0412, 1e-4);
  });
});
