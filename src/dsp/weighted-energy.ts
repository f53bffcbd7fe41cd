/** K-weighted energy of a multi-channel stream: the inner loop of every loudness figure. */
import type { KWeighting } from './k-weighting.ts';
import { kWeighting } from './k-weighting.ts';
import type { Hertz } from './units.ts';

/** Channel weights of BS.1770-5, Table 3, and how one channel is counted. */
export interface ChannelOptions {
  /** Weight of each channel's mean square; default by channel count, see `channelWeights`. */
  readonly weights?: readonly number[];
  /**
   * Measures one channel as if it played on both channels of a stereo pair (+3.01 LU against counting it once), since
   * that is how it is heard next to stereo. Default true for one channel; without effect on more.
   */
  readonly dualMono?: boolean;
}

/** Ls and Rs: +1.5 dB (Table 3). */
const SURROUND = 1.41;

/**
 * Weights by channel count: 1 (dual mono unless told otherwise); stereo; L R C; L R Ls Rs; L R C Ls Rs;
 * L R C LFE Ls Rs with the LFE left out. Any other count weighs every channel 1.
 * @throws RangeError if given weights don't fit the channel count or aren't finite and ≥ 0
 */
export function channelWeights(channelCount: number, options: ChannelOptions = {}): Float64Array {
  if (options.weights !== undefined) {
    if (options.weights.length !== channelCount || !options.weights.every((w) => w >= 0 && Number.isFinite(w))) {
      throw new RangeError(`Expected ${channelCount} channel weights of 0 or more.`);
    }
    return Float64Array.from(options.weights);
  }
  if (channelCount === 1) return Float64Array.of(options.dualMono === false ? 1 : 2);
  if (channelCount === 4) return Float64Array.of(1, 1, SURROUND, SURROUND);
  if (channelCount === 5) return Float64Array.of(1, 1, 1, SURROUND, SURROUND);
  if (channelCount === 6) return Float64Array.of(1, 1, 1, 0, SURROUND, SURROUND);
  return new Float64Array(channelCount).fill(1);
}

/** Per channel: x[n−1], x[n−2], shelf output v[n−1], v[n−2], result w[n−1], w[n−2], running sum of w². */
const STATE = 7;
/** States below this are cleared: denormal numbers would slow the recursion down, and −600 dB is silence. */
const TINY = 1e-30;

/**
 * Filters each channel by the K-weighting and sums its squares. Not finite samples count as 0, so one NaN can't stay
 * in the recursion. The order of operations doesn't depend on how the stream is cut into blocks.
 */
export class WeightedEnergy {
  private readonly filter: KWeighting;
  private readonly state: Float64Array;

  constructor(
    sampleRate: Hertz,
    private readonly weights: Float64Array,
  ) {
    this.filter = kWeighting(sampleRate);
    this.state = new Float64Array(STATE * weights.length);
  }

  /** Takes in samples `start` to `end` (exclusive) of each channel; a missing channel is silence. Never allocates. */
  accumulate(channels: readonly Float32Array[], start: number, end: number): void {
    for (let c = 0; c < this.weights.length; c++) {
      if (this.weights[c] === 0) continue;
      const data = channels[c];
      if (data === undefined) this.state.fill(0, c * STATE, c * STATE + STATE - 1);
      else this.accumulateChannel(data, start, end, c * STATE);
    }
  }

  /** Weighted sum of squares since the last call (not yet divided by the number of samples). */
  take(): number {
    const { state, weights } = this;
    let total = 0;
    for (let c = 0; c < weights.length; c++) {
      const first = c * STATE;
      total += weights[c] * state[first + 6];
      state[first + 6] = 0;
      for (let i = first; i < first + 6; i++) {
        if (Math.abs(state[i]) < TINY) state[i] = 0;
      }
    }
    return total;
  }

  reset(): void {
    this.state.fill(0);
  }

  /**
   * Both sections in direct form I. The shelf's outputs are the high-pass's inputs, so they share two delays, and the
   * longest path from one sample to the next is one product and one sum.
   */
  private accumulateChannel(data: Float32Array, start: number, end: number, first: number): void {
    const { state } = this;
    const { b0, b1, b2, a1, a2 } = this.filter.shelf;
    const { a1: c1, a2: c2 } = this.filter.highPass;
    let x1 = state[first];
    let x2 = state[first + 1];
    let v1 = state[first + 2];
    let v2 = state[first + 3];
    let w1 = state[first + 4];
    let w2 = state[first + 5];
    let sum = state[first + 6];
    for (let i = start; i < end; i++) {
      let x = data[i];
      if (x - x !== 0) x = 0;
      const v = b0 * x + b1 * x1 + b2 * x2 - a2 * v2 - a1 * v1;
      const w = v - 2 * v1 + v2 - c2 * w2 - c1 * w1;
      sum += w * w;
      x2 = x1;
      x1 = x;
      v2 = v1;
      v1 = v;
      w2 = w1;
      w1 = w;
    }
    state[first] = x1;
    state[first + 1] = x2;
    state[first + 2] = v1;
    state[first + 3] = v2;
    state[first + 4] = w1;
    state[first + 5] = w2;
    state[first + 6] = sum;
  }
}
