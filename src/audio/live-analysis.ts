import { Decimator } from '../dsp/decimator.ts';
import { logBandCentre, logBands } from '../dsp/log-bands.ts';
import { PairSpectrum } from '../dsp/pair-spectrum.ts';
import { powerToDb } from '../dsp/units.ts';
import { enbw, makeWindow } from '../dsp/windows.ts';
import type { AnalyserSettings, LiveFrame, LowBand } from './live-frame.ts';
import { DEFAULT_ANALYSER, NOTHING_DBFS } from './live-frame.ts';
import { strongestTone } from './strongest-tone.ts';

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

const LOW_RATE = 750;
const LOW_POINTS = 2048;
const LOW_HIGHEST = 60;
const SLOW_FROM = 0.5;
const SLOW_TO = 15;

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
  private heard = 0;
  private spectra: { readonly pair: PairSpectrum; readonly below: number; due: number; density: number }[] = [];
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
    for (const plane of this.ring) plane.fill(0);
    this.low.reset();
    this.build();
  }

  /** Takes one block: planes clean left and right, coloured left and right. Returns a frame to show. */
  push(planes: readonly Float32Array[], sampleRate: number): LiveFrame {
    if (sampleRate !== this.sampleRate) {
      this.sampleRate = sampleRate;
      this.low = new LowResolver(sampleRate);
      this.build();
    }
    const frames = planes[0].length;
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
      spectrum.pair.push(this.ring.slice(0, 2), this.ring.slice(2, 4), offset, hop / sampleRate);
    }
    return this.frame(planes);
  }

  private build(): void {
    const { points, window, averageSeconds } = this.settings;
    const parts = points === 'auto' ? AUTO : [{ points, below: Infinity }];
    this.spectra = parts.map(({ points: size, below }) => ({
      pair: new PairSpectrum({ size, sampleRate: this.sampleRate, window, timeConstant: averageSeconds }),
      below,
      due: 0,
      // Peak-calibrated power to density: 2·ENBW·Δf (a sine's power is half its squared peak).
      density: 1 / (2 * enbw(makeWindow(window, size)) * (this.sampleRate / size)),
    }));
    this.holds = null;
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
    const clean = this.curve((pair) => pair.first);
    const coloured = this.curve((pair) => pair.second);
    const added = this.curve((pair) => pair.added);
    if (this.settings.peakHold) this.hold(clean, coloured);
    const ready = this.spectra.filter(({ pair }) => this.heard >= pair.options.size);
    const pair = ready[0]?.pair;
    return {
      rackId: this.rackId,
      frequencies: this.frequencies,
      clean,
      coloured,
      added,
      cleanHold: this.holds?.[0] ?? null,
      colouredHold: this.holds?.[1] ?? null,
      cleanDcDbfs: level((pair?.firstDc ?? 0) ** 2),
      colouredDcDbfs: level((pair?.secondDc ?? 0) ** 2),
      slowProductsDbfs: this.low.slowProductsDbfs,
      lowBand: this.low.band,
      tone: strongestTone(ready.map(({ pair: spectrum, below }) => ({ spectrum, below }))),
      cleanPeakDbfs: peakDb(planes[0], planes[1]),
      colouredPeakDbfs: peakDb(planes[2], planes[3]),
    };
  }

  /** One curve on the log axis, each stretch from the spectrum that is meant for it. */
  private curve(power: (pair: PairSpectrum) => Float64Array): Float32Array {
    const out = new Float32Array(AXIS.count).fill(NOTHING_DBFS);
    let from = 0;
    for (const { pair, below, density } of this.spectra) {
      // Until a long transform has heard enough, the next shorter one stands in for it.
      if (this.heard < pair.options.size) continue;
      logBands(power(pair), this.sampleRate, AXIS, this.bands);
      const factor = this.settings.scale === 'density' ? density : 1;
      for (let i = from; i < AXIS.count && this.frequencies[i] < below; i++) {
        out[i] = level(this.bands[i] * factor);
        from = i + 1;
      }
    }
    return out;
  }

  private hold(clean: Float32Array, coloured: Float32Array): void {
    this.holds ??= [clean.slice(), coloured.slice()];
    [clean, coloured].forEach((curve, index) => {
      const held = this.holds?.[index] as Float32Array;
      for (let i = 0; i < curve.length; i++) held[i] = Math.max(held[i], curve[i]);
    });
  }
}

/** The lowest octaves at a rate of their own. */
class LowResolver {
  band: LowBand | null = null;
  slowProductsDbfs: number | null = null;
  private readonly decimators: Decimator[];
  private readonly pair: PairSpectrum;
  private readonly planes = Array.from({ length: 4 }, () => new Float32Array(LOW_POINTS));
  private readonly fresh = new Float32Array(4096);
  private readonly rate: number;
  private have = 0;
  private due = 0;

  constructor(sampleRate: number) {
    const factor = Math.max(2, Math.round(sampleRate / LOW_RATE));
    this.rate = sampleRate / factor;
    this.decimators = this.planes.map(() => new Decimator(factor));
    this.pair = new PairSpectrum({
      size: LOW_POINTS,
      sampleRate: this.rate,
      window: 'blackmanHarris4',
      timeConstant: 4,
    });
  }

  reset(): void {
    this.have = 0;
    this.due = 0;
    this.band = null;
    this.slowProductsDbfs = null;
    this.pair.reset();
    for (const decimator of this.decimators) decimator.reset();
  }

  push(planes: readonly Float32Array[], frames: number): void {
    let count = 0;
    this.planes.forEach((plane, index) => {
      count = this.decimators[index].process(planes[index], 0, frames, this.fresh, 0);
      plane.copyWithin(0, count);
      plane.set(this.fresh.subarray(0, count), LOW_POINTS - count);
    });
    this.have = Math.min(LOW_POINTS, this.have + count);
    this.due -= count;
    if (this.have < LOW_POINTS || this.due > 0) return;
    const hop = LOW_POINTS / 16;
    this.due = hop;
    this.pair.push(this.planes.slice(0, 2), this.planes.slice(2, 4), 0, hop / this.rate);
    this.read();
  }

  private read(): void {
    const { pair, rate } = this;
    const step = rate / LOW_POINTS;
    const first = Math.ceil(SLOW_FROM / step);
    const last = Math.floor(LOW_HIGHEST / step);
    const droop = (bin: number) => this.decimators[0].droop(bin * step, rate);
    const curve = (power: Float64Array) =>
      Float32Array.from({ length: last - first + 1 }, (_, i) => level(power[first + i] * droop(first + i)));
    this.band = {
      frequencies: Float32Array.from({ length: last - first + 1 }, (_, i) => (first + i) * step),
      clean: curve(pair.first),
      coloured: curve(pair.second),
      added: curve(pair.added),
      seconds: LOW_POINTS / rate,
    };
    let sum = 0;
    for (let bin = first; bin * step <= SLOW_TO; bin++) sum += pair.added[bin] * droop(bin);
    // Summed bins count a tone ENBW times; AES17 calls a sine by its peak, as the bins do.
    this.slowProductsDbfs = level(sum / LOW_ENBW);
  }
}

const LOW_ENBW = enbw(makeWindow('blackmanHarris4', LOW_POINTS));

function level(power: number): number {
  return Math.max(NOTHING_DBFS, powerToDb(power));
}

function peakDb(left: Float32Array, right: Float32Array): number {
  let peak = 0;
  for (let i = 0; i < left.length; i++) peak = Math.max(peak, Math.abs(left[i]), Math.abs(right[i]));
  return level(peak * peak);
}
