import { LoudnessWindows } from '../dsp/loudness-windows.ts';
import { gainToDb, orNull } from '../dsp/units.ts';
import { MAX_BUSES, MAX_CHANNELS } from '../engine/config.ts';
import { FIGURES_PER_TAP, type LevelPoint, levelTapIndex, TICKS_PER_REPORT } from '../engine/level-taps.ts';
import type { ReportStamp } from '../engine/protocol.ts';
import type { Levels, RackLevels, SideLevels } from '../stores/level-store.ts';
import type { RackPlace } from './settings-prints.ts';

/** Reports in 3 s. */
const SHORT_TERM_REPORTS = 30;
/** BS.1770's absolute gate: what is softer is no programme, and its loudness says nothing. */
const GATE_LUFS = -70;
/** Below this a peak is what a filter rings with, not a signal. */
const NOTHING_DBFS = -150;

const NONE: SideLevels = {
  momentaryLufs: null,
  shortTermLufs: null,
  integratedLufs: null,
  maxMomentaryLufs: null,
  maxShortTermLufs: null,
  truePeakDbtp: null,
  positivePeakDbfs: null,
  negativePeakDbfs: null,
  psrDb: null,
  plrDb: null,
};

class LiveTap {
  /** Serial of the settings that count. */
  since = 0;
  /** Last known figures of the settings before; null where there were none. */
  private earlier: SideLevels | null = null;
  private readonly windows: LoudnessWindows;
  private positive = 0;
  private negative = 0;
  private truePeak = 0;
  private readonly recentPeaks = new Float64Array(SHORT_TERM_REPORTS);
  private reports = 0;
  private sounding = false;

  constructor(sampleRate: number) {
    this.windows = new LoudnessWindows(sampleRate);
  }

  take(report: Float64Array, at: number, { settings, missed }: Pick<ReportStamp, 'settings' | 'missed'>): void {
    const { windows } = this;
    this.sounding = true;
    if (missed > 0) windows.skip();
    for (let tick = 0; tick < TICKS_PER_REPORT; tick++) windows.tick(report[at + tick]);
    const peak = report[at + TICKS_PER_REPORT + 2];
    this.recentPeaks[this.reports % SHORT_TERM_REPORTS] = peak;
    this.reports++;
    // Some of it was made with other settings.
    if (settings < this.since) {
      windows.restart();
      return;
    }
    this.positive = Math.max(this.positive, report[at + TICKS_PER_REPORT]);
    this.negative = Math.min(this.negative, report[at + TICKS_PER_REPORT + 1]);
    this.truePeak = Math.max(this.truePeak, peak);
  }

  /** Other settings from `serial` on. */
  restart(serial: number): void {
    this.earlier = merged(this.figures(), this.earlier);
    this.since = serial;
    this.windows.restart();
    this.positive = 0;
    this.negative = 0;
    this.truePeak = 0;
  }

  /** Nothing sounds: what tells of the last moments has nothing to tell. */
  stop(): void {
    this.sounding = false;
  }

  figures(): SideLevels {
    const { windows } = this;
    const integrated = orNull(windows.integrated);
    const truePeakDbtp = peak(this.truePeak);
    return {
      ...this.sliding(windows.momentaryIsWhole, windows.shortTermIsWhole),
      integratedLufs: integrated,
      maxMomentaryLufs: gated(windows.maxMomentary),
      maxShortTermLufs: gated(windows.maxShortTerm),
      truePeakDbtp,
      positivePeakDbfs: peak(this.positive),
      negativePeakDbfs: peak(-this.negative),
      plrDb: truePeakDbtp !== null && integrated !== null ? truePeakDbtp - integrated : null,
    };
  }

  /** Figures of the settings before, and windows that still reach back to them. */
  former(): SideLevels | null {
    if (!this.earlier) return null;
    return { ...this.earlier, ...this.sliding(this.reports >= 4, this.reports >= SHORT_TERM_REPORTS) };
  }

  private sliding(momentary: boolean, shortTerm: boolean) {
    const { windows, sounding } = this;
    const shortTermLufs = sounding && shortTerm ? gated(windows.shortTerm) : null;
    const recent = peak(this.recentPeaks.reduce((a, b) => Math.max(a, b), 0));
    return {
      momentaryLufs: sounding && momentary ? gated(windows.momentary) : null,
      shortTermLufs,
      psrDb: recent !== null && shortTermLufs !== null ? recent - shortTermLufs : null,
    };
  }
}

/**
 * Live loudness and peaks of every rack, from the engine's level reports, by the windows and gates that measure files.
 * Figures belong to the settings they were heard with: a rack that is set otherwise starts anew, and until it has
 * figures of its own those of before are kept apart.
 */
export class LiveLevels {
  private taps: LiveTap[] = [];
  /** Serial of the settings of taps that have not reported yet. */
  private since = new Map<number, number>();
  private missed = 0;

  /** Takes one report of the last 100 ms. */
  take(buffer: ArrayBuffer, sampleRate: number, stamp: Pick<ReportStamp, 'settings' | 'missed'>): void {
    const report = new Float64Array(buffer);
    const count = report.length / FIGURES_PER_TAP;
    while (this.taps.length < count) {
      const tap = new LiveTap(sampleRate);
      tap.since = this.since.get(this.taps.length) ?? 0;
      this.taps.push(tap);
    }
    this.missed += stamp.missed;
    for (let index = 0; index < count; index++) this.taps[index].take(report, index * FIGURES_PER_TAP, stamp);
  }

  /** Starts a new measurement: another session, another start, or on request. */
  reset(): void {
    this.taps = [];
    this.missed = 0;
  }

  /** These racks are set otherwise from `serial` on. */
  restart(places: readonly RackPlace[], serial: number): void {
    for (const { point, index } of places) {
      for (const at of ['clean', 'input', 'coloured'] as const) {
        const tap = tapAt(point, index, at);
        this.since.set(tap, serial);
        if (this.taps[tap] && this.taps[tap].since !== serial) this.taps[tap].restart(serial);
      }
    }
  }

  /** The sound has stopped. */
  stop(): void {
    for (const tap of this.taps) tap.stop();
  }

  /** Serial since which a rack is set as it is. */
  settingsOf({ point, index }: RackPlace): number {
    return this.since.get(tapAt(point, index, 'coloured')) ?? 0;
  }

  /** Levels at one rack; null before the first report. */
  of(rackId: string, place: RackPlace['point'], index: number): RackLevels | null {
    if (this.taps.length === 0) return null;
    const at = (point: LevelPoint) => this.taps[tapAt(place, index, point)];
    const each = (of: (tap: LiveTap) => SideLevels | null): Levels => {
      const [clean, input, coloured] = (['clean', 'input', 'coloured'] as const).map((point) => {
        const tap = at(point);
        return tap ? of(tap) : null;
      });
      return { clean, input, coloured };
    };
    const former = each((tap) => tap.former());
    return {
      rackId,
      ...each((tap) => tap.figures()),
      former: former.clean || former.input || former.coloured ? former : null,
      missedReports: this.missed,
    };
  }
}

function tapAt(place: RackPlace['point'], index: number, point: LevelPoint): number {
  return levelTapIndex(place, index, point, MAX_CHANNELS, MAX_BUSES);
}

function gated(lufs: number): number | null {
  return lufs > GATE_LUFS ? lufs : null;
}

function peak(amplitude: number): number | null {
  const db = gainToDb(amplitude);
  return db > NOTHING_DBFS ? orNull(db) : null;
}

/** Each figure from the first that has it; null where neither has any. */
function merged(now: SideLevels, earlier: SideLevels | null): SideLevels | null {
  const result = { ...NONE, ...earlier };
  let some = earlier !== null;
  for (const key of Object.keys(NONE) as (keyof SideLevels)[]) {
    const value = now[key];
    if (value === null) continue;
    result[key as never] = value as never;
    some = true;
  }
  return some ? result : null;
}
