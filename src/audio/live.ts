import { logBandCentre, logBands } from '../dsp/log-bands.ts';
import { PairSpectrum } from '../dsp/pair-spectrum.ts';
import { powerToDb } from '../dsp/units.ts';
import { TAP_FRAMES } from '../engine/protocol.ts';

const SIZE = 8192;
const AVERAGE_SECONDS = 0.4;
const POINTS = 320;
const FLOOR_DBFS = -200;

/** Figures of the watched rack's output; arrays are reused. */
export interface LiveFigures {
  rackId: string;
  frequencies: Float32Array;
  clean: Float32Array;
  coloured: Float32Array;
  added: Float32Array;
  cleanDcDbfs: number;
  colouredDcDbfs: number;
  cleanPeakDbfs: number;
  colouredPeakDbfs: number;
}

/** Turns the engine's tap blocks into spectra on a logarithmic axis, some thirty times a second. */
export class Live {
  latest: LiveFigures | null = null;
  private readonly listeners = new Set<(frame: LiveFigures) => void>();
  private readonly ring = Array.from({ length: 4 }, () => new Float32Array(SIZE));
  private readonly axis = { from: 20, to: 20000, count: POINTS };
  private readonly bands = [0, 1, 2].map(() => new Float64Array(POINTS));
  private pair: PairSpectrum | null = null;
  private figures: LiveFigures = this.emptyFigures('');

  onFrame(listener: (frame: LiveFigures) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** Forgets what was seen: another rack is watched, or sound starts anew. */
  reset(rackId: string): void {
    for (const plane of this.ring) plane.fill(0);
    this.pair?.reset();
    this.figures = this.emptyFigures(rackId);
    this.latest = null;
  }

  /** Takes one tap block: planes clean left, clean right, coloured left, coloured right. */
  push(planes: readonly Float32Array[], sampleRate: number): void {
    if (this.pair?.sampleRate !== sampleRate) this.pair = new PairSpectrum(SIZE, sampleRate, AVERAGE_SECONDS);
    const { pair, ring, figures } = this;
    for (let i = 0; i < 4; i++) {
      ring[i].copyWithin(0, TAP_FRAMES);
      ring[i].set(planes[i], SIZE - TAP_FRAMES);
    }
    figures.cleanPeakDbfs = peakDb(planes[0], planes[1]);
    figures.colouredPeakDbfs = peakDb(planes[2], planes[3]);
    if (this.listeners.size === 0) return;
    pair.push(ring.slice(0, 2), ring.slice(2, 4), TAP_FRAMES / sampleRate);
    [pair.first, pair.second, pair.added].forEach((power, index) => {
      const bands = this.bands[index];
      logBands(power, sampleRate, this.axis, bands);
      const out = index === 0 ? figures.clean : index === 1 ? figures.coloured : figures.added;
      for (let i = 0; i < POINTS; i++) out[i] = Math.max(FLOOR_DBFS, powerToDb(bands[i]));
    });
    figures.cleanDcDbfs = level(pair.firstDc);
    figures.colouredDcDbfs = level(pair.secondDc);
    this.latest = figures;
    for (const listener of this.listeners) listener(figures);
  }

  private emptyFigures(rackId: string): LiveFigures {
    const nothing = () => new Float32Array(POINTS).fill(FLOOR_DBFS);
    return {
      rackId,
      frequencies: Float32Array.from({ length: POINTS }, (_, i) => logBandCentre(this.axis, i)),
      clean: nothing(),
      coloured: nothing(),
      added: nothing(),
      cleanDcDbfs: FLOOR_DBFS,
      colouredDcDbfs: FLOOR_DBFS,
      cleanPeakDbfs: FLOOR_DBFS,
      colouredPeakDbfs: FLOOR_DBFS,
    };
  }
}

function level(value: number): number {
  return Math.max(FLOOR_DBFS, powerToDb(value * value));
}

function peakDb(left: Float32Array, right: Float32Array): number {
  let peak = 0;
  for (let i = 0; i < left.length; i++) peak = Math.max(peak, Math.abs(left[i]), Math.abs(right[i]));
  return level(peak);
}
