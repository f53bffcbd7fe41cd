import { interpolationPhase, TRUE_PEAK_TAPS } from '../dsp/true-peak-filter.ts';
import { dbToGain, gainToDb } from '../dsp/units.ts';
import { Ramp } from './ramp.ts';

/** Frames the guard looks ahead. */
const LOOKAHEAD = 64;
const RELEASE_SECONDS = 0.1;
/** Delay of the guard in frames: its look-ahead and the interpolator's half length. */
export const GUARD_LATENCY = LOOKAHEAD + TRUE_PEAK_TAPS / 2;

const SOFT_START_SECONDS = 0.03;
const DIP_SECONDS = 0.004;
const MUTE_SECONDS = 0.005;

/**
 * The last thing before the loudspeakers, after the switch, never part of an export: a true-peak ceiling that only
 * catches accidents, a soft start, the monitor level and the panic mute. While none of them acts it is a bit-exact
 * delay of GUARD_LATENCY frames.
 *
 * The ceiling: the peak of each sample and of three points before it (BS.1770-5 annex 2's four-fold grid) asks for a
 * gain; the least gain of the next LOOKAHEAD frames, released exponentially and averaged over LOOKAHEAD frames, has
 * reached what a peak asks for when the peak comes out.
 */
export class OutputGuard {
  private readonly ceiling: number;
  private readonly release: number;
  private readonly phases = [0.25, 0.5, 0.75].map((fraction) => interpolationPhase(fraction));
  private readonly history = [new Float64Array(TRUE_PEAK_TAPS), new Float64Array(TRUE_PEAK_TAPS)];
  private readonly delayed = [new Float32Array(GUARD_LATENCY), new Float32Array(GUARD_LATENCY)];
  private readonly asked = new Float64Array(LOOKAHEAD).fill(1);
  private readonly held = new Float64Array(LOOKAHEAD).fill(1);
  private at = 0;
  private historyAt = 0;
  private ringAt = 0;
  private envelope = 1;
  /** Frames for which something in the look-ahead window may still ask for less than unity. */
  private busy = 0;
  private readonly monitor = new Ramp(1);
  private readonly mute = new Ramp(1);
  private readonly start = new Ramp(1);
  private startHold = 0;
  private least = 1;

  /** @param ceilingDbtp true peak that the output stays below, dBTP */
  constructor(
    private readonly sampleRate: number,
    ceilingDbtp = -1,
  ) {
    this.ceiling = dbToGain(ceilingDbtp);
    this.release = 1 - Math.exp(-1 / (RELEASE_SECONDS * sampleRate));
  }

  /** Monitor level, amplitude ratio up to 1. */
  setMonitor(gain: number): void {
    this.monitor.start(Math.min(1, Math.max(0, gain)), Math.round(0.03 * this.sampleRate));
  }

  /** Silence at once (5 ms), until released. */
  setMute(on: boolean): void {
    this.mute.start(on ? 0 : 1, Math.round((on ? MUTE_SECONDS : SOFT_START_SECONDS) * this.sampleRate));
  }

  /** Goes to silence in 4 ms, stays there for `holdSeconds` and comes back in 30 ms: for starts and seeks. */
  softStart(holdSeconds: number): void {
    this.start.start(0, Math.round(DIP_SECONDS * this.sampleRate));
    this.startHold = Math.round((DIP_SECONDS + holdSeconds) * this.sampleRate);
  }

  /** Largest reduction since the last call, dB (0: the ceiling did nothing). */
  takeReductionDb(): number {
    const reduction = -gainToDb(this.least);
    this.least = 1;
    return reduction;
  }

  /** Processes `frames` frames of a stereo pair in place. */
  process(left: Float32Array, right: Float32Array, frames: number): void {
    for (let i = 0; i < frames; i++) {
      const manual = this.manualGain();
      const l = left[i] * manual;
      const r = right[i] * manual;
      const gain = this.gainFor(l, r);
      const outL = this.delayed[0][this.at];
      const outR = this.delayed[1][this.at];
      this.delayed[0][this.at] = l;
      this.delayed[1][this.at] = r;
      this.at = this.at + 1 === GUARD_LATENCY ? 0 : this.at + 1;
      left[i] = gain === 1 ? outL : outL * gain;
      right[i] = gain === 1 ? outR : outR * gain;
    }
  }

  private manualGain(): number {
    const gain = this.monitor.at(0) * this.mute.at(0) * this.start.at(0);
    this.monitor.advance(1);
    this.mute.advance(1);
    this.start.advance(1);
    if (this.startHold > 0 && --this.startHold === 0) {
      this.start.start(1, Math.round(SOFT_START_SECONDS * this.sampleRate));
    }
    return gain;
  }

  private gainFor(l: number, r: number): number {
    const peak = Math.max(this.peakOf(0, l), this.peakOf(1, r));
    this.historyAt = this.historyAt === 0 ? TRUE_PEAK_TAPS - 1 : this.historyAt - 1;
    const asks = peak > this.ceiling ? this.ceiling / peak : 1;
    if (asks < 1) this.busy = 2 * LOOKAHEAD;
    this.asked[this.ringAt] = asks;
    if (this.busy === 0 && this.envelope === 1) {
      this.held[this.ringAt] = 1;
      this.ringAt = (this.ringAt + 1) % LOOKAHEAD;
      return 1;
    }
    this.busy = Math.max(0, this.busy - 1);
    let least = 1;
    for (let i = 0; i < LOOKAHEAD; i++) if (this.asked[i] < least) least = this.asked[i];
    const released = this.envelope + (1 - this.envelope) * this.release;
    // The exponential never arrives; within −0.0001 dB it is let go.
    this.envelope = Math.min(least, released > 0.99999 ? 1 : released);
    this.held[this.ringAt] = this.envelope;
    if (this.envelope < 1) this.busy = Math.max(this.busy, LOOKAHEAD);
    this.ringAt = (this.ringAt + 1) % LOOKAHEAD;
    let sum = 0;
    for (let i = 0; i < LOOKAHEAD; i++) sum += this.held[i];
    const gain = sum / LOOKAHEAD;
    if (gain < this.least) this.least = gain;
    return gain;
  }

  /** Peak of the sample half the interpolator ago and of the three points after it. */
  private peakOf(side: 0 | 1, sample: number): number {
    const history = this.history[side];
    const at = this.historyAt;
    history[at] = sample;
    let peak = Math.abs(history[(at + TRUE_PEAK_TAPS / 2) % TRUE_PEAK_TAPS]);
    // Interpolated points exceed the samples by at most a few dB: below a quarter of the ceiling none can matter.
    let largest = 0;
    for (let i = 0; i < TRUE_PEAK_TAPS; i++) {
      const a = Math.abs(history[i]);
      if (a > largest) largest = a;
    }
    if (largest < 0.25 * this.ceiling) return peak;
    for (let p = 0; p < 3; p++) {
      const phase = this.phases[p];
      let sum = 0;
      for (let i = 0; i < TRUE_PEAK_TAPS; i++) {
        const tap = at + i;
        sum += phase[i] * history[tap >= TRUE_PEAK_TAPS ? tap - TRUE_PEAK_TAPS : tap];
      }
      const a = Math.abs(sum);
      if (a > peak) peak = a;
    }
    return peak;
  }
}
