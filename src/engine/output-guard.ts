import { dbToGain, gainToDb } from '../dsp/units.ts';
import { PEAK_DELAY, PeakWatch } from './peak-watch.ts';
import { Ramp } from './ramp.ts';

/** Frames the guard looks ahead. */
const LOOKAHEAD = 64;
const RELEASE_SECONDS = 0.1;
/** Delay of the guard in frames: its look-ahead and the interpolator's half length. */
export const GUARD_LATENCY = LOOKAHEAD + PEAK_DELAY;

/** True peak that the output stays below, dBTP. */
export const GUARD_CEILING_DBTP = -1;

const SOFT_START_SECONDS = 0.03;
const DIP_SECONDS = 0.004;
const MUTE_SECONDS = 0.005;

/**
 * The last thing before the loudspeakers, after the switch, never part of an export: a true-peak ceiling that only
 * catches accidents, a soft start, the monitor level and the panic mute. While none of them acts it is a bit-exact
 * delay of GUARD_LATENCY frames.
 *
 * It looks at both sides of the switch, whichever is heard: a guard that acted on the louder one alone would make the
 * other sound louder.
 *
 * The ceiling: the peak of each sample and of three points behind it (`PeakWatch`) asks for a gain; the least gain of
 * the next LOOKAHEAD frames, released exponentially and averaged over LOOKAHEAD frames, has reached what a peak asks for
 * when the peak comes out.
 */
export class OutputGuard {
  private readonly ceiling: number;
  private readonly release: number;
  /** Of the output's two planes, then of each side's. */
  private readonly watches: readonly PeakWatch[];
  private readonly delayed = [new Float32Array(GUARD_LATENCY), new Float32Array(GUARD_LATENCY)];
  private readonly asked = new Float64Array(LOOKAHEAD).fill(1);
  private readonly held = new Float64Array(LOOKAHEAD).fill(1);
  private at = 0;
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
    ceilingDbtp = GUARD_CEILING_DBTP,
  ) {
    this.ceiling = dbToGain(ceilingDbtp);
    this.watches = Array.from({ length: 6 }, () => new PeakWatch(this.ceiling));
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
    const reduction = this.least < 1 ? -gainToDb(this.least) : 0;
    this.least = 1;
    return reduction;
  }

  /**
   * Processes frames `from` to `to` of a stereo pair in place.
   * @param sides what stands on the switch at these frames, counted from 0: left and right of A, then of B
   */
  process(
    left: Float32Array,
    right: Float32Array,
    from: number,
    to: number,
    sides: readonly Float32Array[] = [],
  ): void {
    const { watches } = this;
    for (let i = from; i < to; i++) {
      const manual = this.manualGain();
      const l = left[i] * manual;
      const r = right[i] * manual;
      let peak = Math.max(watches[0].next(l), watches[1].next(r));
      for (let p = 0; p < sides.length; p++) {
        const other = watches[2 + p].next(sides[p][i - from] * manual);
        if (other > peak) peak = other;
      }
      const gain = this.gainFor(peak);
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

  private gainFor(peak: number): number {
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
}
