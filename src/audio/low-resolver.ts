import { Decimator } from '../dsp/decimator.ts';
import { isPeak, lineAt } from '../dsp/line-level.ts';
import { PairSpectrum } from '../dsp/pair-spectrum.ts';
import { enbw, makeWindow } from '../dsp/windows.ts';
import { type LowBand, levelDbfs } from '../stores/live-store.ts';

const RATE = 750;
const POINTS = 2048;
const WINDOW = 'blackmanHarris4';
const ENBW = enbw(makeWindow(WINDOW, POINTS));
const HIGHEST = 60;
const SLOW_FROM = 0.5;
const SLOW_TO = 15;
/** Outputs of the decimator that still hold where it started. */
const WARM_UP = 3;

/** The lowest octaves at a rate of their own. */
export class LowResolver {
  band: LowBand | null = null;
  slowProductsDbfs: number | null = null;
  private readonly decimators: Decimator[];
  private readonly pair: PairSpectrum;
  private readonly planes = Array.from({ length: 4 }, () => new Float32Array(POINTS));
  private readonly fresh = new Float32Array(4096);
  private readonly rate: number;
  private have = -WARM_UP;
  private due = 0;

  constructor(sampleRate: number) {
    const factor = Math.max(2, Math.round(sampleRate / RATE));
    this.rate = sampleRate / factor;
    this.decimators = this.planes.map(() => new Decimator(factor));
    this.pair = new PairSpectrum({
      size: POINTS,
      sampleRate: this.rate,
      window: WINDOW,
      timeConstant: 4,
    });
  }

  reset(): void {
    this.have = -WARM_UP;
    this.due = 0;
    this.band = null;
    this.slowProductsDbfs = null;
    this.pair.reset();
    for (const decimator of this.decimators) decimator.reset();
  }

  /** After a gap: what was measured stays, and the next look needs a whole stretch. */
  skip(): void {
    this.have = -WARM_UP;
    this.due = 0;
    for (const decimator of this.decimators) decimator.reset();
  }

  push(planes: readonly Float32Array[], frames: number): void {
    let count = 0;
    this.planes.forEach((plane, index) => {
      count = this.decimators[index].process(planes[index], 0, frames, this.fresh, 0);
      plane.copyWithin(0, count);
      plane.set(this.fresh.subarray(0, count), POINTS - count);
    });
    this.have = Math.min(POINTS, this.have + count);
    this.due -= count;
    if (this.have < POINTS || this.due > 0) return;
    const hop = POINTS / 16;
    this.due = hop;
    this.pair.push(this.planes.slice(0, 2), this.planes.slice(2, 4), 0, hop / this.rate);
    this.read();
  }

  private read(): void {
    const { pair, rate } = this;
    const step = rate / POINTS;
    const first = Math.ceil(SLOW_FROM / step);
    const last = Math.floor(HIGHEST / step);
    const droop = (bin: number) => this.decimators[0].droop(bin * step, rate);
    const curve = (power: Float64Array) =>
      Float32Array.from({ length: last - first + 1 }, (_, i) => {
        const bin = first + i;
        const isLine = bin > 1 && isPeak(power, bin);
        return levelDbfs((isLine ? lineAt(power, bin, WINDOW).power : power[bin]) * droop(bin));
      });
    this.band = {
      frequencies: Float32Array.from({ length: last - first + 1 }, (_, i) => (first + i) * step),
      clean: curve(pair.first),
      coloured: curve(pair.second),
      added: curve(pair.added),
      seconds: POINTS / rate,
    };
    let sum = 0;
    for (let bin = first; bin * step <= SLOW_TO; bin++) sum += pair.added[bin] * droop(bin);
    // Summed bins count a tone ENBW times; AES17 calls a sine by its peak, as the bins do.
    this.slowProductsDbfs = levelDbfs(sum / ENBW);
  }
}
