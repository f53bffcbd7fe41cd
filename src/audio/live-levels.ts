import { LoudnessWindows } from '../dsp/loudness-windows.ts';
import { gainToDb, orNull } from '../dsp/units.ts';
import { FIGURES_PER_TAP, type LevelPoint, levelTapIndex, TICKS_PER_REPORT } from '../engine/level-taps.ts';
import { MAX_BUSES, MAX_CHANNELS } from '../engine/limits.ts';

/** Live levels of one signal since the measurement started; null where not defined yet. */
export interface SideLevels {
  readonly momentaryLufs: number | null;
  readonly shortTermLufs: number | null;
  readonly integratedLufs: number | null;
  readonly maxMomentaryLufs: number | null;
  readonly maxShortTermLufs: number | null;
  readonly truePeakDbtp: number | null;
  readonly positivePeakDbfs: number | null;
  readonly negativePeakDbfs: number | null;
  /** True peak of the last 3 s less their loudness, dB. */
  readonly psrDb: number | null;
  /** Largest true peak less integrated loudness, dB. */
  readonly plrDb: number | null;
}

export interface RackLevels {
  readonly rackId: string;
  readonly clean: SideLevels | null;
  readonly input: SideLevels | null;
  readonly coloured: SideLevels | null;
}

/** Reports in 3 s. */
const SHORT_TERM_REPORTS = 30;

class TapLevels {
  readonly windows: LoudnessWindows;
  positive = 0;
  negative = 0;
  truePeak = 0;
  private readonly recentPeaks = new Float64Array(SHORT_TERM_REPORTS);
  private reports = 0;

  constructor(sampleRate: number) {
    this.windows = new LoudnessWindows(sampleRate);
  }

  take(report: Float64Array, at: number): void {
    for (let tick = 0; tick < TICKS_PER_REPORT; tick++) this.windows.tick(report[at + tick]);
    this.positive = Math.max(this.positive, report[at + TICKS_PER_REPORT]);
    this.negative = Math.min(this.negative, report[at + TICKS_PER_REPORT + 1]);
    const peak = report[at + TICKS_PER_REPORT + 2];
    this.truePeak = Math.max(this.truePeak, peak);
    this.recentPeaks[this.reports % SHORT_TERM_REPORTS] = peak;
    this.reports++;
  }

  figures(): SideLevels {
    const { windows } = this;
    const integrated = orNull(windows.integrated);
    const full = this.reports >= SHORT_TERM_REPORTS;
    const shortTerm = full ? orNull(windows.shortTerm) : null;
    const truePeakDbtp = orNull(gainToDb(this.truePeak));
    const recent = orNull(gainToDb(this.recentPeaks.reduce((a, b) => Math.max(a, b), 0)));
    return {
      momentaryLufs: this.reports >= 4 ? orNull(windows.momentary) : null,
      shortTermLufs: shortTerm,
      integratedLufs: integrated,
      maxMomentaryLufs: orNull(windows.maxMomentary),
      maxShortTermLufs: orNull(windows.maxShortTerm),
      truePeakDbtp,
      positivePeakDbfs: orNull(gainToDb(this.positive)),
      negativePeakDbfs: orNull(gainToDb(this.negative)),
      psrDb: recent !== null && shortTerm !== null ? recent - shortTerm : null,
      plrDb: truePeakDbtp !== null && integrated !== null ? truePeakDbtp - integrated : null,
    };
  }
}

/**
 * Live loudness and peaks of every rack, from the engine's level reports, by the windows and gates that measure files.
 */
export class LiveLevels {
  private taps: TapLevels[] = [];

  /** Takes one report of the last 100 ms. */
  take(buffer: ArrayBuffer, sampleRate: number): void {
    const report = new Float64Array(buffer);
    const count = report.length / FIGURES_PER_TAP;
    while (this.taps.length < count) this.taps.push(new TapLevels(sampleRate));
    for (let index = 0; index < count; index++) this.taps[index].take(report, index * FIGURES_PER_TAP);
  }

  /** Starts a new measurement. */
  reset(): void {
    this.taps = [];
  }

  /** Levels at one rack; null before the first report. */
  of(rackId: string, place: 'channel' | 'bus' | 'mix', index: number): RackLevels | null {
    if (this.taps.length === 0) return null;
    const at = (point: LevelPoint) =>
      this.taps[levelTapIndex(place, index, point, MAX_CHANNELS, MAX_BUSES)]?.figures() ?? null;
    return { rackId, clean: at('clean'), input: at('input'), coloured: at('coloured') };
  }
}
