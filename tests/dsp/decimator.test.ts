import { describe, expect, it } from 'vitest';
import { Decimator } from '../../src/dsp/decimator.ts';

const FACTOR = 64;
const RATE = 48000;

function through(input: Float32Array, blocks: readonly number[] = [512]): Float32Array {
  const decimator = new Decimator(FACTOR);
  const out = new Float32Array(Math.ceil(input.length / FACTOR) + 1);
  let written = 0;
  for (let at = 0, n = 0; at < input.length; n++) {
    const frames = Math.min(blocks[n % blocks.length], input.length - at);
    written += decimator.process(input, at, frames, out, written);
    at += frames;
  }
  return out.subarray(0, written);
}

function tone(hz: number, amplitude: number, seconds = 4): Float32Array {
  return Float32Array.from({ length: seconds * RATE }, (_, i) => amplitude * Math.sin((2 * Math.PI * hz * i) / RATE));
}

/** Peak amplitude of a low-rate signal's largest line by least squares at the frequency. */
function amplitudeAt(x: Float32Array, hz: number): number {
  let re = 0;
  let im = 0;
  // Whole periods of any whole number of hertz, so that the sums are orthogonal.
  const from = 50;
  const to = from + (2 * RATE) / FACTOR;
  for (let i = from; i < to; i++) {
    const angle = (2 * Math.PI * hz * i * FACTOR) / RATE;
    re += x[i] * Math.cos(angle);
    im += x[i] * Math.sin(angle);
  }
  return (2 * Math.hypot(re, im)) / (to - from);
}

describe('Decimator', () => {
  it('passes DC exactly and forever (closed form: the averages sum to 1)', () => {
    const out = through(new Float32Array(RATE * 10).fill(0.25));
    expect(out[out.length - 1]).toBeCloseTo(0.25, 6);
    expect(Math.max(...out.subarray(8)) - Math.min(...out.subarray(8))).toBeLessThan(1e-7);
  });

  it.each([1, 5, 20, 60])('passes %d Hz at its level once the droop is undone', (hz) => {
    const amplitude = amplitudeAt(through(tone(hz, 0.5)), hz);
    const undone = amplitude * Math.sqrt(new Decimator(FACTOR).droop(hz, RATE / FACTOR));
    expect(20 * Math.log10(undone / 0.5)).toBeCloseTo(0, 2);
  });

  it.each([740, 760, 1490, 23990])('keeps %d Hz from folding onto the lowest band at more than −75 dB', (hz) => {
    const folded = Math.abs(hz - Math.round(hz / (RATE / FACTOR)) * (RATE / FACTOR));
    expect(folded).toBeLessThanOrEqual(10);
    expect(20 * Math.log10(amplitudeAt(through(tone(hz, 1)), folded))).toBeLessThan(-75);
  });

  it('gives the same whatever the blocks', () => {
    const input = tone(37, 0.3, 1);
    expect(through(input, [1, 100, 7, 513])).toEqual(through(input));
  });
});
