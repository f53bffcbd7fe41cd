import type { Random } from './audio-data.ts';

/** Whole-number samples and how many of them had to be limited. */
export interface Quantised {
  samples: Int32Array;
  /** Samples beyond the largest whole number (or not numbers at all), limited or zeroed. */
  overs: number;
}

/**
 * Rounds samples of full scale ±1 to whole numbers of `bits` bits, so that −1 is −2^(bits−1).
 *
 * With `random`, triangular dither is added before rounding: the difference of two uniform numbers, ±1 LSB at most,
 * of variance 1/6 LSB². With the rounding's 1/12 the total error has variance 1/4 LSB² whatever the signal, so
 * neither its mean nor its power depends on the signal (Lipshitz, Wannamaker, Vanderkooy, JAES 40(5) 1992, from memory).
 */
export function quantise(input: Float32Array, bits: number, random?: Random): Quantised {
  const scale = 2 ** (bits - 1);
  const max = scale - 1;
  const samples = new Int32Array(input.length);
  let overs = 0;
  for (let i = 0; i < input.length; i++) {
    const exact = input[i] * scale;
    // As Math.round, which takes four times as long: a sample in single precision plus a half is exact.
    const value = Math.floor((random ? exact + random() - random() : exact) + 0.5);
    if (value >= -scale && value <= max) {
      samples[i] = value;
    } else {
      samples[i] = value > max ? max : value < -scale ? -scale : 0;
      overs++;
    }
  }
  return { samples, overs };
}

/** Whole numbers of `bits` bits as samples of full scale ±1, exactly. */
export function asFloats(samples: Int32Array, bits: number): Float32Array {
  const scale = 2 ** (1 - bits);
  const out = new Float32Array(samples.length);
  // A loop: `Float32Array.from` goes through an iterator and takes twenty times as long.
  for (let i = 0; i < samples.length; i++) out[i] = samples[i] * scale;
  return out;
}
