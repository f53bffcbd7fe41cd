import type { Decibels, Hertz } from '../../dsp/units.ts';
import { orNull, powerToDb } from '../../dsp/units.ts';
import type { RackConfig } from '../../engine/config.ts';
import { rackSettle } from '../../engine/settling.ts';
import { findStageKind } from '../../engine/stages/catalogue.ts';
import type { RackRenderer } from '../../render/rack-renderer.ts';

/** Two periods that differ by no more than this count as settled. */
const SETTLED_DBC = -140;
/** Frames that the filters of over-sampling need before and after. */
const GUARD = 512;
/**
 * Time before the first of the two compared periods, one after the other until they agree: none (nothing moves in a
 * symmetrical rack), then 16 and 44 time constants of the 2 Hz AC coupling; circuits with memory get theirs besides.
 */
const LEADS_SECONDS = [0, 1.3, 3.5];

export interface Steady {
  /** One period of each plane. */
  readonly planes: readonly Float32Array[];
  /** Power of the difference from the period before, over the signal's own; null where there is none at all. */
  readonly settledDbc: Decibels | null;
}

/** Puts periodic signals through racks until they repeat, and hands out one period of what comes then. */
export class SteadyState {
  /** What the last rack needed; the next signal most likely needs the same. */
  private attempt = 0;
  private rack: RackConfig | null = null;

  constructor(
    private readonly renderer: RackRenderer,
    readonly sampleRate: Hertz,
  ) {}

  /**
   * @param periods one or two signals that know nothing of each other, one period of each, of equal length
   */
  *measure(rack: RackConfig, periods: readonly ArrayLike<number>[]): Generator<void, Steady> {
    if (rack !== this.rack) this.attempt = 0;
    this.rack = rack;
    for (; ; this.attempt++) {
      const lead = GUARD + Math.round((LEADS_SECONDS[this.attempt] + rackSettle(rack)) * this.sampleRate);
      const steady = yield* this.after(lead, rack, periods);
      if ((steady.settledDbc ?? SETTLED_DBC) <= SETTLED_DBC || this.attempt === LEADS_SECONDS.length - 1) return steady;
    }
  }

  private *after(lead: number, rack: RackConfig, periods: readonly ArrayLike<number>[]): Generator<void, Steady> {
    const { length } = periods[0];
    const input = periods.map((period) => {
      const plane = new Float32Array(lead + 2 * length + GUARD);
      for (let i = 0; i < plane.length; i++) plane[i] = period[i % length];
      return plane;
    });
    yield;
    const output = yield* this.renderEach(rack, input);
    const start = lead + length;
    const planes = output.map((plane) => plane.slice(start, start + length));
    yield;
    // The weaker plane of two may be a small signal of which rounding is a larger share, so each counts for itself.
    const settled = planes.map((plane, index) => difference(plane, output[index].subarray(lead, start)));
    return { planes, settledDbc: settled.reduce((a, b) => (a === null || (b !== null && b > a) ? b : a), null) };
  }

  /** Two signals at once as left and right, unless a stage of the rack works on both: then each by itself, in the middle. */
  private *renderEach(rack: RackConfig, input: readonly Float32Array[]): Generator<void, readonly Float32Array[]> {
    if (input.length === 1 || keepsApart(rack)) return yield* this.renderer.render(rack, input);
    const output: Float32Array[] = [];
    for (const plane of input) output.push(...(yield* this.renderer.render(rack, [plane])));
    return output;
  }
}

/** True where no stage makes anything of left and right together. */
function keepsApart({ stages }: RackConfig): boolean {
  return stages.every(({ kind: id, values }) => {
    const kind = findStageKind(id);
    return !kind || (values[kind.at.stereo] === 0 && kind.circuit(values).channels === 'apart');
  });
}

function difference(period: Float32Array, before: Float32Array): Decibels | null {
  let signal = 0;
  let moved = 0;
  for (let i = 0; i < period.length; i++) {
    signal += period[i] ** 2;
    moved += (period[i] - before[i]) ** 2;
  }
  return signal > 0 ? orNull(powerToDb(moved / signal)) : null;
}
