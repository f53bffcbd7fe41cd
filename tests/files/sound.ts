import { seededRandom } from '../../src/dsp/random.ts';
import type { AudioData } from '../../src/files/audio-data.ts';

/** Noise of full scale whose samples are exact at `bits` bits, with both extremes, zeros and runs of ±1 LSB in it. */
export function noise(channels: number, frames: number, bits = 24, seed = 1): AudioData {
  const random = seededRandom(seed);
  const scale = 2 ** (bits - 1);
  return {
    sampleRate: 48_000,
    channels: Array.from({ length: channels }, () =>
      Float32Array.from({ length: frames }, (_, i) => {
        if (i === 0) return -1;
        if (i === 1) return 1 - 1 / scale;
        // Quiet stretches and multiples of 256 hit the byte patterns 00 and FF, where decoders have stumbled.
        const range = [scale, 3, 256 * 256, 512][Math.floor(i / 64) % 4];
        const step = Math.floor(i / 256) % 2 === 0 ? 1 : 256;
        const value = Math.round((random() * 2 - 1) * Math.min(range, scale - 1));
        // Adding 0 turns −0, which whole numbers don't have, into 0.
        return Math.max(-scale, Math.min(scale - 1, Math.trunc(value / step) * step)) / scale + 0;
      }),
    ),
  };
}

/** Largest difference of two channels. */
export function largestDifference(a: Float32Array, b: Float32Array): number {
  let largest = 0;
  for (let i = 0; i < a.length; i++) largest = Math.max(largest, Math.abs(a[i] - b[i]));
  return largest;
}
