import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/dsp/random.ts';
import { quantise } from '../../src/files/quantise.ts';
import { readWav, writeWav } from '../../src/files/wav.ts';

const FRAMES = 200_000;

/** Mean and variance of the error in LSB when a constant of so many LSB is written. */
function errorOf(level: number, random?: () => number): { mean: number; variance: number } {
  const { samples } = quantise(new Float32Array(FRAMES).fill(level / 32_768), 16, random);
  let sum = 0;
  let squares = 0;
  for (const sample of samples) {
    const error = sample - level;
    sum += error;
    squares += error * error;
  }
  const mean = sum / FRAMES;
  return { mean, variance: squares / FRAMES - mean * mean };
}

describe('triangular dither', () => {
  // Standard errors: of the mean √(1/4/N) = 0.0011 LSB; of the variance below √(E e⁴/N) < 0.002 LSB². Five of each.
  for (const level of [0, 0.25, 0.5, -3.375, 1000.75]) {
    it(`makes the error of ${level} LSB independent of it: mean 0, variance 1/4 LSB²`, () => {
      const { mean, variance } = errorOf(level, seededRandom(7));
      expect(Math.abs(mean)).toBeLessThan(0.006);
      expect(Math.abs(variance - 0.25)).toBeLessThan(0.01);
    });
  }

  it('without it the error is the signal: all of a quarter LSB is lost', () => {
    expect(errorOf(0.25)).toEqual({ mean: -0.25, variance: 0 });
  });

  it('moves a sample by at most one LSB and a half', () => {
    const random = seededRandom(3);
    const input = Float32Array.from({ length: FRAMES }, () => random() * 1.9 - 0.95);
    const { samples } = quantise(input, 16, seededRandom(4));
    let largest = 0;
    for (let i = 0; i < FRAMES; i++) largest = Math.max(largest, Math.abs(samples[i] - input[i] * 32_768));
    expect(largest).toBeGreaterThan(1.3);
    expect(largest).toBeLessThanOrEqual(1.5);
  });

  it('keeps a tone below one LSB', () => {
    const amplitude = 0.4 / 32_768;
    const tone = Float32Array.from(
      { length: 48_000 },
      (_, i) => amplitude * Math.sin((2 * Math.PI * 997 * i) / 48_000),
    );
    const part = (dither?: () => number) => {
      const out = readWav(writeWav({ channels: [tone], sampleRate: 48_000 }, { bits: 16, dither })).channels[0];
      return out.reduce((sum, v, i) => sum + v * Math.sin((2 * Math.PI * 997 * i) / 48_000), 0) / 24_000 / amplitude;
    };
    expect(part()).toBe(0);
    expect(part(seededRandom(5))).toBeCloseTo(1, 1);
  });

  it('is the same with the same seed, and is not used at 24 bit', () => {
    const audio = { channels: [Float32Array.from({ length: 500 }, (_, i) => Math.sin(i))], sampleRate: 48_000 };
    const write = (bits: 16 | 24, seed: number) => writeWav(audio, { bits, dither: seededRandom(seed) });
    expect(write(16, 1)).toEqual(write(16, 1));
    expect(write(16, 1)).not.toEqual(write(16, 2));
    expect(write(24, 1)).toEqual(writeWav(audio, { bits: 24 }));
  });
});
