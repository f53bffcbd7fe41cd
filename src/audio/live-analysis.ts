import { logBandCentre, logBands, raiseLines } from '../dsp/log-bands.ts';
import { PairSpectrum } from '../dsp/pair-spectrum.ts';
import { enbw, makeWindow } from '../dsp/windows.ts';
import type { AnalyserSettings, BlockStamp, LiveFrame, StrongestTone } from '../stores/live-store.ts';
import { DEFAULT_ANALYSER, levelDbfs, NOTHING_DBFS } from '../stores/live-store.ts';
import { LowResolver } from './low-resolver.ts';
import { StandingTone } from './standing-tone.ts';
import { type Part, type Standing, standing, strongestTone } from './strongest-tone.ts';

const AXIS = { from: 20, to: 20000, count: 480 };
const LONGEST = 65536;
/** Crossovers of the automatic resolution, Hz, and the points used below, between and above them. */
const AUTO = [
  { points: 65536, below: 250 },
  { points: 16384, below: 2500 },
  { points: 4096, below: Infinity },
] as const;
/** Long transforms are slow and change slowly: each is taken at most every so many of its own lengths. */
const HOPS_PER_FRAME = 16;
/** After so many time constants an average holds less than −26 dB of what was before. */
const AVERAGES = 6;

/**
 * The live analyser: blocks of both sides in, frames for the screen out. Runs in its own worker, so that neither the
 * screen nor the sound waits for a transform.
 */
export class LiveAnalysis {
  private settings = DEFAULT_ANALYSER;
  private rackId = '';
  private sampleRate = 48000;
  private readonly ring = Array.from({ length: 4 }, () => new Float32Array(2 * LONGEST));
  private at = 0;
  /** Frames without a gap before the write position. */
  private heard = 0;
  /** Where the next block starts, if none is missed. */
  private next: number | null = null;
  private missed = 0;
  private madeWith: number | null = null;
  /** Frames until peaks are held. */
  private holdAfter = 0;
  private spectra: Stretch[] = [];
  private readonly curves = [0, 1, 2].map(() => new Float32Array(AXIS.count));
  private tone: StrongestTone | null = null;
  private standing: Standing | null = null;
  private readonly standingTone = new StandingTone();
  private low: LowResolver;
  private readonly bands = new Float64Array(AXIS.count);
  private holds: [Float32Array, Float32Array] | null = null;
  private readonly frequencies = Float32Array.from({ length: AXIS.count }, (_, i) => logBandCentre(AXIS, i));

  constructor() {
    this.low = new LowResolver(this.sampleRate);
    this.build();
  }

  /** Takes other settings; averages start anew. */
  set(settings: AnalyserSettings): void {
    this.settings = settings;
    this.build();
  }

  /** Forgets what was heard: another rack, or another start. */
  reset(rackId: string): void {
    this.rackId = rackId;
    this.heard = 0;
    this.next = null;
    this.missed = 0;
    this.madeWith = null;
    this.holdAfter = 0;
    this.low.reset();
    this.build();
  }

  /**
   * Takes one block: planes clean left and right, coloured left and right. Returns a frame to show. After a gap each
   * spectrum stays as it is until it has heard a whole stretch without one.
   */
  push(planes: readonly Float32Array[], sampleRate: number, stamp: BlockStamp): LiveFrame {
    if (sampleRate !== this.sampleRate) {
      this.sampleRate = sampleRate;
      this.low = new LowResolver(sampleRate);
      this.build();
    }
    const frames = planes[0].length;
    this.lookForGap(stamp.at, frames);
    this.lookForChange(stamp.settings, frames);
    this.keep(planes, frames);
    this.low.push(planes, frames);
    for (const spectrum of this.spectra) {
      spectrum.due -= frames;
      const { size } = spectrum.pair.options;
      // A frame that reaches back before the start would show the start as a step.
      if (spectrum.due > 0 || this.heard < size) continue;
      const hop = Math.max(frames, size / HOPS_PER_FRAME);
      spectrum.due += hop;
      if (spectrum.due < 0) spectrum.due = 0;
      const offset = this.at + LONGEST - size;
      spectrum.shown = true;
      spectrum.moved = true;
      spectrum.waiting = false;
      spectrum.pair.push(this.ring.slice(0, 2), this.ring.slice(2, 4), offset, hop / sampleRate);
    }
    return this.frame(planes);
  }

  /** Held peaks of other settings are none of these: neither while the windows reach back to them, nor while the average does. */
  private lookForChange(settings: number, frames: number): void {
    this.holdAfter -= frames;
    if (settings === this.madeWith) return;
    this.holds = null;
    if (this.madeWith !== null) {
      const longest = Math.max(...this.spectra.map(({ pair }) => pair.options.size));
      this.holdAfter = longest + AVERAGES * this.settings.averageSeconds * this.sampleRate;
    }
    this.madeWith = settings;
  }

  private lookForGap(at: number, frames: number): void {
    const gap = this.next === null ? 0 : at - this.next;
    this.next = at + frames;
    if (gap === 0) return;
    this.missed += Math.max(1, Math.round(gap / frames));
    this.heard = 0;
    this.low.skip();
    for (const spectrum of this.spectra) spectrum.waiting = spectrum.shown;
  }

  private build(): void {
    const { points, window, averageSeconds } = this.settings;
    const parts = points === 'auto' ? AUTO : [{ points, below: Infinity }];
    this.spectra = parts.map(({ points: size, below }) => ({
      pair: new PairSpectrum({ size, sampleRate: this.sampleRate, window, timeConstant: averageSeconds }),
      below,
      due: 0,
      shown: false,
      moved: false,
      waiting: false,
      // Peak-calibrated power to density: 2·ENBW·Δf (a sine's power is half its squared peak).
      density: 1 / (2 * enbw(makeWindow(window, size)) * (this.sampleRate / size)),
    }));
    for (const curve of this.curves) curve.fill(NOTHING_DBFS);
    this.tone = null;
    this.standing = null;
    this.holds = null;
    this.standingTone.reset();
  }

  /** The last LONGEST samples always lie in one piece from `at` on: each sample is written twice. */
  private keep(planes: readonly Float32Array[], frames: number): void {
    for (let plane = 0; plane < 4; plane++) {
      const ring = this.ring[plane];
      for (let i = 0; i < frames; i++) {
        const to = (this.at + i) % LONGEST;
        ring[to] = planes[plane][i];
        ring[to + LONGEST] = planes[plane][i];
      }
    }
    this.at = (this.at + frames) % LONGEST;
    this.heard = Math.min(LONGEST, this.heard + frames);
  }

  private frame(planes: readonly Float32Array[]): LiveFrame {
    this.look();
    const [clean, coloured, added] = this.curves.map((curve) => curve.slice());
    if (this.settings.peakHold && this.holdAfter <= 0) this.hold(clean, coloured);
    const pair = this.spectra.find(({ shown }) => shown)?.pair;
    const { tone } = this;
    const seconds = planes[0].length / this.sampleRate;
    return {
      rackId: this.rackId,
      frequencies: this.frequencies,
      clean,
      coloured,
      added,
      cleanHold: this.holds?.[0] ?? null,
      colouredHold: this.holds?.[1] ?? null,
      cleanDcDbfs: levelDbfs((pair?.firstDc ?? 0) ** 2),
      colouredDcDbfs: levelDbfs((pair?.secondDc ?? 0) ** 2),
      slowProductsDbfs: this.low.slowProductsDbfs,
      lowBand: this.low.band,
      tone,
      standingTone: this.standingTone.take(tone, this.standing, seconds),
      cleanPeakDbfs: peakDb(planes[0], planes[1]),
      colouredPeakDbfs: peakDb(planes[2], planes[3]),
      settings: this.madeWith ?? 0,
      missedBlocks: this.missed,
      waiting: this.spectra.some(({ waiting }) => waiting),
      stopped: false,
    };
  }

  /** Reads the spectra that have moved since the last look: each stretch of the curves from the one meant for it. */
  private look(): void {
    const asPeaks = this.settings.scale === 'peak';
    let from = 0;
    for (const { pair, below, density, shown, moved } of this.spectra) {
      // Until a long transform has heard enough, the next shorter one stands in for it.
      if (!shown) continue;
      let to = from;
      while (to < AXIS.count && this.frequencies[to] < below) to++;
      const powers = moved ? [pair.first, pair.second, pair.added] : [];
      powers.forEach((power, curve) => {
        logBands(power, this.sampleRate, AXIS, this.bands, from, to);
        if (asPeaks) raiseLines(power, this.sampleRate, AXIS, this.bands, pair.options.window, from, to);
        for (let i = from; i < to; i++) this.curves[curve][i] = levelDbfs(this.bands[i] * (asPeaks ? 1 : density));
      });
      from = to;
    }
    if (!this.spectra.some(({ moved }) => moved)) return;
    for (const spectrum of this.spectra) spectrum.moved = false;
    const parts: Part[] = this.spectra.flatMap(({ pair, below, shown }) => (shown ? [{ spectrum: pair, below }] : []));
    this.tone = strongestTone(parts);
    // With a part of the spectrum missing or old, nobody knows what else there is.
    const whole = this.spectra.every(({ shown, waiting }) => shown && !waiting);
    this.standing = whole ? this.tone && standing(parts, this.tone) : null;
  }

  private hold(clean: Float32Array, coloured: Float32Array): void {
    this.holds ??= [clean.slice(), coloured.slice()];
    [clean, coloured].forEach((curve, index) => {
      const held = this.holds?.[index] as Float32Array;
      for (let i = 0; i < curve.length; i++) held[i] = Math.max(held[i], curve[i]);
    });
  }
}

interface Stretch {
  readonly pair: PairSpectrum;
  readonly below: number;
  due: number;
  readonly density: number;
  /** True once it has heard a whole frame. */
  shown: boolean;
  /** True until it has been looked at. */
  moved: boolean;
  /** True from a gap until the next whole frame without one. */
  waiting: boolean;
}

function peakDb(left: Float32Array, right: Float32Array): number {
  let peak = 0;
  for (let i = 0; i < left.length; i++) peak = Math.max(peak, Math.abs(left[i]), Math.abs(right[i]));
  return levelDbfs(peak * peak);
}
