/** Where a stage colours, as its kernels take it: a part of the stereo field, and a band. */
import type { Kernels } from './kernels.ts';
import type { CommonParameterId } from './stages/common-parameters.ts';

/** Bytes of memory: two state-variable filters of two channels. */
export const PLACEMENT_STATE = 64;

/** An edge is kept this far below the Nyquist frequency, as a share of the rate. */
const HIGHEST = 0.45;
/** ln 10⁶: what a filter rings with is 120 dB down after as many of its time constants. */
const TIME_CONSTANTS = 13.8;

/** Time until the band's filters have forgotten what they heard, to −120 dB of it, seconds. The lower edge decides. */
export function bandSettleSeconds(from: number, to: number): number {
  // The poles of a Butterworth filter decay by ω₀/√2.
  return (TIME_CONSTANTS * Math.SQRT2) / (2 * Math.PI * Math.min(from, to));
}

/**
 * Left and right are turned by `angle`: 0 leaves them as they are, π/4 makes side and middle of them. `side` and `middle`
 * are what the circuit is given of each. In the order of the parameter's choices, between which it glides.
 */
const FIELDS = [
  { angle: 0, side: 1, middle: 1 },
  { angle: Math.PI / 4, side: 1, middle: 1 },
  { angle: Math.PI / 4, side: 0, middle: 1 },
  { angle: Math.PI / 4, side: 1, middle: 0 },
];

/**
 * What a stage's circuit is given, b(x), so that it adds N(b(x)) − g·b(x) to the straight signal, which is neither split
 * nor turned: no crossover, no ripple. Middle and side are (L + R)/2 and (L − R)/2, so that a sound in the middle drives
 * the circuit as hard as it does left and right.
 */
export class Placement {
  /** Share of the signal that goes through the band's filters, 0 to 1. */
  private band = 0;
  /** tan(π·f/rate) of the edges. */
  private low = 0;
  private high = 0;
  /** Cosine and sine of the turn, scaled so that a sound in the middle keeps its level, and what undoes that. */
  private a = 1;
  private b = 0;
  private back = 1;
  private side = 1;
  private middle = 1;

  /** Takes a stage's values, which stand where `at` says and some of which may be on their way from one choice to another. */
  take(at: Readonly<Record<CommonParameterId, number>>, values: ArrayLike<number>, rate: number): void {
    this.band = values[at.band];
    const from = values[at.bandFrom];
    const to = values[at.bandTo];
    this.low = edge(Math.min(from, to), rate);
    this.high = edge(Math.max(from, to), rate);
    const place = values[at.stereo];
    const before = FIELDS[Math.floor(place)];
    const after = FIELDS[Math.min(FIELDS.length - 1, Math.floor(place) + 1)];
    const t = place - Math.floor(place);
    const angle = before.angle + t * (after.angle - before.angle);
    const scale = 1 / (Math.cos(angle) + Math.sin(angle));
    this.a = scale * Math.cos(angle);
    this.b = scale * Math.sin(angle);
    this.back = 1 / (scale * scale);
    this.side = before.side + t * (after.side - before.side);
    this.middle = before.middle + t * (after.middle - before.middle);
  }

  private get turns(): boolean {
    return this.b !== 0;
  }

  /** What the circuit is given, in place, while the placement moves from `this` to `last`. */
  enter(kernels: Kernels, buffer: number, frames: number, last: Placement, state: number): void {
    if (this.turns || last.turns) {
      // biome-ignore format: one call
      kernels.crossMix(buffer, frames, this.side * this.a, last.side * last.a, -this.side * this.b, -last.side * last.b, this.middle * this.b, last.middle * last.b, this.middle * this.a, last.middle * last.a);
    }
    if (this.band > 0 || last.band > 0) {
      kernels.bandPass(buffer, frames, this.low, last.low, this.high, last.high, this.band, last.band, state);
    }
  }

  /** What the circuit adds, back in left and right, in place. */
  leave(kernels: Kernels, buffer: number, frames: number, last: Placement): void {
    if (!this.turns && !last.turns) return;
    const [a0, a1] = [this.back * this.a, last.back * last.a];
    const [b0, b1] = [this.back * this.b, last.back * last.b];
    kernels.crossMix(buffer, frames, a0, a1, b0, b1, -b0, -b1, a0, a1);
  }
}

function edge(hertz: number, rate: number): number {
  return Math.tan(Math.PI * Math.min(hertz / rate, HIGHEST));
}
