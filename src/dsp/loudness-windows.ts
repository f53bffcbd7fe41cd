/** Loudness figures from the energy of 10 ms stretches, wherever these were summed: live in the engine or offline. */
import type { Lufs } from './gating.ts';
import { ABSOLUTE_GATE_ENERGY, energyToLufs, gateThreshold } from './gating.ts';
import { loudnessRange } from './loudness-range.ts';
import type { Hertz } from './units.ts';

/** Windows move on a 10 ms grid: a 400 ms burst then reads at most 0.06 LU low, wherever it starts. */
export const TICKS_PER_SECOND = 100;
const TICKS_PER_HOP = 10;
const MOMENTARY_TICKS = 40;
const SHORT_TERM_TICKS = 300;
/** Room for ten minutes of blocks before the first enlargement. */
const FIRST_CAPACITY = 6000;

/** Sample at which tick `index` starts; rounded, so that odd rates keep time over any length. */
export function tickBoundary(index: number, sampleRate: Hertz): number {
  return Math.round((index * sampleRate) / TICKS_PER_SECOND);
}

/**
 * ITU-R BS.1770-5 and EBU Tech 3341: momentary (400 ms) and short-term (3 s) windows on a 10 ms grid; integrated
 * loudness from 400 ms blocks every 100 ms with both gates; Tech 3342 loudness range from 3 s windows every 100 ms.
 * What is not defined (silence, too short) reads −Infinity, or null for the range. `tick` allocates only when the
 * programme outgrows ten minutes, then each time it doubles.
 */
export class LoudnessWindows {
  /** Energy sums of the last 300 ticks. */
  private readonly ring = new Float64Array(SHORT_TERM_TICKS);
  /** Ticks taken in so far. */
  protected ticks = 0;
  /** Tick since which all were taken in. */
  private wholeFrom = 0;
  private momentaryEnergy = 0;
  private shortTermEnergy = 0;
  private maxMomentaryEnergy = 0;
  private maxShortTermEnergy = 0;
  private blocks = new Float64Array(FIRST_CAPACITY);
  private blockCount = 0;
  private windows = new Float64Array(FIRST_CAPACITY);
  private windowCount = 0;
  /** Sum and number of the blocks above the absolute gate, kept as they come. */
  private absoluteSum = 0;
  private absoluteCount = 0;
  private integratedAt = -1;
  private integratedValue: Lufs = -Infinity;
  /** Seconds at which the loudest short-term window ended, or 0 if there was none. */
  loudestWindowEnd = 0;

  constructor(protected readonly sampleRate: Hertz) {}

  /** Forgets everything heard so far. */
  reset(): void {
    this.ring.fill(0);
    this.ticks = this.blockCount = this.windowCount = 0;
    this.momentaryEnergy = this.shortTermEnergy = this.maxMomentaryEnergy = this.maxShortTermEnergy = 0;
    this.absoluteSum = this.absoluteCount = this.loudestWindowEnd = 0;
    this.integratedAt = -1;
    this.wholeFrom = 0;
  }

  /**
   * Programme figures (integrated, largest, range) start anew, and no window that reaches back before this moment
   * counts towards them. The momentary and short-term windows go on.
   */
  restart(): void {
    this.skip();
    this.blockCount = this.windowCount = 0;
    this.maxMomentaryEnergy = this.maxShortTermEnergy = 0;
    this.absoluteSum = this.absoluteCount = this.loudestWindowEnd = 0;
    this.integratedAt = -1;
  }

  /** Ticks are missing here: no window that would span the gap counts. */
  skip(): void {
    this.wholeFrom = this.ticks;
  }

  /** True once the momentary window holds nothing of before the last `restart` or `skip`. */
  get momentaryIsWhole(): boolean {
    return this.ticks - this.wholeFrom >= MOMENTARY_TICKS;
  }

  /** The same of the short-term window. */
  get shortTermIsWhole(): boolean {
    return this.ticks - this.wholeFrom >= SHORT_TERM_TICKS;
  }

  /** Loudness of the last 400 ms; before that, as if silence had gone before. */
  get momentary(): Lufs {
    return energyToLufs(this.momentaryEnergy);
  }

  /** Loudness of the last 3 s; before that, as if silence had gone before. */
  get shortTerm(): Lufs {
    return energyToLufs(this.shortTermEnergy);
  }

  /** Loudest full 400 ms window. */
  get maxMomentary(): Lufs {
    return energyToLufs(this.maxMomentaryEnergy);
  }

  /** Loudest full 3 s window. */
  get maxShortTerm(): Lufs {
    return energyToLufs(this.maxShortTermEnergy);
  }

  /** Gated loudness of everything since the start. */
  get integrated(): Lufs {
    if (this.integratedAt !== this.blockCount) {
      this.integratedAt = this.blockCount;
      this.integratedValue = this.computeIntegrated();
    }
    return this.integratedValue;
  }

  /** Loudness range in LU, or null; sorts all windows, so ask for it rarely. */
  loudnessRange(): number | null {
    return loudnessRange(this.windows.subarray(0, this.windowCount));
  }

  /** A copy of the energies of all 400 ms blocks, one for each 100 ms from 400 ms on. */
  blockEnergies(): Float64Array {
    return this.blocks.slice(0, this.blockCount);
  }

  /** Takes in the weighted sum of squares of the next tick. */
  tick(energy: number): void {
    this.ring[this.ticks % SHORT_TERM_TICKS] = energy;
    this.ticks++;
    this.momentaryEnergy = this.windowMean(MOMENTARY_TICKS);
    this.shortTermEnergy = this.windowMean(SHORT_TERM_TICKS);
    const onHop = this.ticks % TICKS_PER_HOP === 0;
    if (this.momentaryIsWhole) {
      this.maxMomentaryEnergy = Math.max(this.maxMomentaryEnergy, this.momentaryEnergy);
      if (onHop) this.storeBlock(this.momentaryEnergy);
    }
    if (this.shortTermIsWhole) {
      if (this.shortTermEnergy > this.maxShortTermEnergy) {
        this.maxShortTermEnergy = this.shortTermEnergy;
        this.loudestWindowEnd = tickBoundary(this.ticks, this.sampleRate) / this.sampleRate;
      }
      if (onHop) this.storeWindow(this.shortTermEnergy);
    }
  }

  /** Mean energy of the last `length` ticks. Summed anew each time: a running sum would drift. */
  private windowMean(length: number): number {
    let sum = 0;
    for (let i = this.ticks - length; i < this.ticks; i++) {
      if (i >= 0) sum += this.ring[i % SHORT_TERM_TICKS];
    }
    return sum / (tickBoundary(this.ticks, this.sampleRate) - tickBoundary(this.ticks - length, this.sampleRate));
  }

  private storeBlock(energy: number): void {
    if (this.blockCount === this.blocks.length) this.blocks = doubled(this.blocks);
    this.blocks[this.blockCount++] = energy;
    if (energy > ABSOLUTE_GATE_ENERGY) {
      this.absoluteSum += energy;
      this.absoluteCount++;
    }
  }

  private storeWindow(energy: number): void {
    if (this.windowCount === this.windows.length) this.windows = doubled(this.windows);
    this.windows[this.windowCount++] = energy;
  }

  private computeIntegrated(): Lufs {
    const threshold = gateThreshold(this.absoluteSum, this.absoluteCount);
    let sum = 0;
    let count = 0;
    for (let i = 0; i < this.blockCount; i++) {
      if (this.blocks[i] > threshold) {
        sum += this.blocks[i];
        count++;
      }
    }
    return count === 0 ? -Infinity : energyToLufs(sum / count);
  }
}

function doubled(store: Float64Array<ArrayBuffer>): Float64Array<ArrayBuffer> {
  const larger = new Float64Array(store.length * 2);
  larger.set(store);
  return larger;
}
