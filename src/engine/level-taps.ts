import { tickBoundary } from '../dsp/loudness-windows.ts';
import { TruePeakMeter } from '../dsp/true-peak.ts';
import { channelWeights, WeightedEnergy } from '../dsp/weighted-energy.ts';

/** Ticks of 10 ms in one report. */
export const TICKS_PER_REPORT = 10;
/** Figures of one tap in a report: the ticks' energies, then positive peak, negative peak, true peak (linear). */
export const FIGURES_PER_TAP = TICKS_PER_REPORT + 3;

/** Where levels are taken. A channel's clean output is its input, so it has two taps; sums have an input of their own. */
export type LevelPoint = 'clean' | 'input' | 'coloured';

const OFFSETS: Record<LevelPoint, number> = { clean: 0, coloured: 1, input: 2 };

/**
 * Index of a tap in reports.
 * @param point of a channel `input` is `clean`
 */
export function levelTapIndex(
  place: 'channel' | 'bus' | 'mix',
  index: number,
  point: LevelPoint,
  maxChannels: number,
  maxBuses: number,
): number {
  if (place === 'channel') return 2 * index + (point === 'coloured' ? 1 : 0);
  const first = 2 * maxChannels + (place === 'bus' ? 3 * index : 3 * maxBuses);
  return first + OFFSETS[point];
}

class Tap {
  readonly energy: WeightedEnergy;
  readonly truePeak: TruePeakMeter;
  positive = 0;
  negative = 0;

  constructor(sampleRate: number) {
    this.energy = new WeightedEnergy(sampleRate, channelWeights(2));
    this.truePeak = new TruePeakMeter(sampleRate, 2);
  }
}

/**
 * Levels at every rack's input and output on both sides, taken where the sound runs: K-weighted energy per 10 ms tick
 * and peaks. The windows and gates are put over the ticks elsewhere (`LoudnessWindows`), by the code that measures
 * files. Nothing allocates after construction.
 */
export class LevelTaps {
  /** Figures of all taps for the last TICKS_PER_REPORT ticks; read it when `advance` says so. */
  readonly report: Float64Array;
  private readonly taps: Tap[];
  /** Set when a report could not be handed out: the next one keeps its peaks. */
  keepsPeaks = false;
  private position = 0;
  private ticks = 0;

  constructor(
    private readonly sampleRate: number,
    readonly maxChannels: number,
    readonly maxBuses: number,
  ) {
    const count = 2 * maxChannels + 3 * maxBuses + 3;
    this.taps = Array.from({ length: count }, () => new Tap(sampleRate));
    this.report = new Float64Array(count * FIGURES_PER_TAP);
  }

  /** Starts a new measurement: ticks are counted from here. */
  reset(): void {
    this.position = 0;
    this.ticks = 0;
    this.report.fill(0);
    this.keepsPeaks = false;
    for (const tap of this.taps) {
      tap.energy.reset();
      tap.truePeak.reset();
      tap.positive = 0;
      tap.negative = 0;
    }
  }

  /** Takes `frames` frames of one tap; every tap is fed the same stretch before `advance`. */
  feed(index: number, planes: readonly Float32Array[], frames: number): void {
    const tap = this.taps[index];
    tap.truePeak.process(planes, 0, frames);
    for (let side = 0; side < 2; side++) {
      const plane = planes[side];
      for (let i = 0; i < frames; i++) {
        if (plane[i] > tap.positive) tap.positive = plane[i];
        else if (plane[i] < tap.negative) tap.negative = plane[i];
      }
    }
    let ticks = this.ticks;
    let at = 0;
    while (at < frames) {
      const end = tickBoundary(ticks + 1, this.sampleRate) - this.position;
      const to = Math.min(frames, end);
      tap.energy.accumulate(planes, at, to);
      at = to;
      if (at === end) {
        this.report[index * FIGURES_PER_TAP + (ticks % TICKS_PER_REPORT)] = tap.energy.take();
        ticks++;
      }
    }
  }

  /**
   * Ends the stretch. True when a report is complete; peaks are then in it and start anew. A block must not be longer
   * than a tick, so that no report is overwritten: at 8 kHz that is 80 frames, and the engine's 128 need 12.8 kHz.
   */
  advance(frames: number): boolean {
    this.position += frames;
    const before = this.ticks;
    while (tickBoundary(this.ticks + 1, this.sampleRate) <= this.position) this.ticks++;
    if (Math.floor(before / TICKS_PER_REPORT) === Math.floor(this.ticks / TICKS_PER_REPORT)) return false;
    this.taps.forEach((tap, index) => {
      const at = index * FIGURES_PER_TAP + TICKS_PER_REPORT;
      const { report, keepsPeaks } = this;
      report[at] = keepsPeaks ? Math.max(report[at], tap.positive) : tap.positive;
      report[at + 1] = keepsPeaks ? Math.min(report[at + 1], tap.negative) : tap.negative;
      report[at + 2] = keepsPeaks ? Math.max(report[at + 2], tap.truePeak.peak) : tap.truePeak.peak;
      tap.truePeak.clearPeaks();
      tap.positive = 0;
      tap.negative = 0;
    });
    return true;
  }
}
