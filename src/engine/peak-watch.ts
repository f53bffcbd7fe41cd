import { HALF, QUARTER_EVEN, QUARTER_ODD, REACH_4X, TRUE_PEAK_TAPS } from '../dsp/true-peak-filter.ts';

const LAST = TRUE_PEAK_TAPS - 1;
const PAIRS = TRUE_PEAK_TAPS / 2;

/** Frames between a sample and its peak. */
export const PEAK_DELAY = PAIRS;

/**
 * Peak of one signal sample by sample, on BS.1770-5 annex 2's four-fold grid: what a limiter looks at. Where no point of
 * the grid can reach the ceiling only the sample counts. Never allocates after construction.
 */
export class PeakWatch {
  /** Twice the same, so that the last samples always lie in one piece. */
  private readonly history = new Float64Array(2 * TRUE_PEAK_TAPS);
  private readonly floor: number;
  private at = 0;
  /** Samples until none in the history can reach the ceiling. */
  private loud = 0;

  /** @param ceiling linear: peaks up to it need not be exact */
  constructor(ceiling: number) {
    this.floor = ceiling / REACH_4X;
  }

  /** Takes the next sample; peak of the sample PEAK_DELAY before it and of the three points behind that one, linear. */
  next(sample: number): number {
    const { history } = this;
    const at = this.at === 0 ? TRUE_PEAK_TAPS - 1 : this.at - 1;
    this.at = at;
    history[at] = sample;
    history[at + TRUE_PEAK_TAPS] = sample;
    if (Math.abs(sample) > this.floor) this.loud = TRUE_PEAK_TAPS;
    let peak = Math.abs(history[at + PEAK_DELAY]);
    if (this.loud === 0) return peak;
    this.loud--;
    let half = 0;
    let even = 0;
    let odd = 0;
    for (let k = 0; k < PAIRS; k++) {
      const late = history[at + k];
      const early = history[at + LAST - k];
      const sum = late + early;
      half += HALF[k] * sum;
      even += QUARTER_EVEN[k] * sum;
      odd += QUARTER_ODD[k] * (late - early);
    }
    // |even ± odd| at its larger sign.
    const quarters = Math.abs(even) + Math.abs(odd);
    const middle = Math.abs(half);
    if (quarters > peak) peak = quarters;
    if (middle > peak) peak = middle;
    return peak;
  }
}
