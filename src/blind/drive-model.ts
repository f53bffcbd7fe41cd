/**
 * What a listener's choices between two amounts say about the amount they like best. Three families of curves compete:
 *
 * One peak: best at amount x, with two straight slopes in logits per dB, u(a) = −κ·(x − a) below the peak and
 * −κρ·(a − x) above it. Clean is an end point of its own: it lies an unknown gap below the least amount, and the peak
 * may be there.
 *
 * Flat: no preference, κ = 0.
 *
 * Valley: some amount is worse than one to either side of it, so no single peak describes the answers. Values at clean
 * and at five even steps of the range with straight lines between: every combination of three levels that has a valley,
 * at two scales.
 */
import type { Decibels } from '../dsp/units.ts';
import type { Amount, DriveAnswer } from './shape-set.ts';
import { ShapeFamily, ShapeSet } from './shape-set.ts';

export const PEAK_STEPS = 48;
/** Prior of a peak at clean, and of one at or beyond the greatest amount; the rest is spread evenly over the range. */
const CLEAN_PRIOR = 0.12;
const END_PRIOR = 0.06;
/** κ times the range: the whole range is worth this many logits. */
const SLOPES = [1.5, 3, 6, 12, 24, 48];
const RATIOS = [0.35, 0.7, 1.4, 2.8];
/** Gap between clean and the least amount, as a share of the range. */
const GAPS = [0.05, 0.2, 0.5];
const KNOTS = 6;
/** Logits between the levels of a curve with a valley. */
const SCALES = [1, 2];
/** Probabilities of the three families before the first answer. */
const PRIOR = { peak: 0.5, flat: 0.3, valley: 0.2 };

interface PeakShape {
  /** Index on the axis of peaks: 0 is clean, then the range from its least to its greatest amount. */
  readonly peak: number;
  readonly slope: number;
  readonly ratio: number;
  readonly gap: Decibels;
}

interface ValleyShape {
  readonly levels: readonly number[];
  readonly scale: number;
}

export type Family = keyof typeof PRIOR;

interface Families {
  readonly min: Decibels;
  readonly max: Decibels;
  /** Peaks of the range, dB, in equal steps; clean comes before them and isn't in this list. */
  readonly peaks: readonly Decibels[];
  readonly peak: ShapeFamily<PeakShape>;
  readonly valley: ShapeFamily<ValleyShape>;
}

const FLAT = new ShapeFamily([0], () => 0);

/** The families of the last range that was asked for: a session builds its model, its result and its check from them. */
let last: Families | null = null;

function familiesFor(min: Decibels, max: Decibels): Families {
  if (last !== null && last.min === min && last.max === max) return last;
  const range = max - min;
  const peaks = Array.from({ length: PEAK_STEPS + 1 }, (_, i) => min + (range * i) / PEAK_STEPS);
  const places = [...Array(PEAK_STEPS + 2).keys()];
  const shapes = places.flatMap((peak) =>
    SLOPES.flatMap((slope) =>
      RATIOS.flatMap((ratio) =>
        GAPS.map((gap): PeakShape => ({ peak, slope: slope / range, ratio, gap: gap * range })),
      ),
    ),
  );
  const inside = (1 - CLEAN_PRIOR - END_PRIOR) / PEAK_STEPS;
  const placePrior = (peak: number) => (peak === 0 ? CLEAN_PRIOR : peak === PEAK_STEPS + 1 ? END_PRIOR : inside);
  const each = places.length / shapes.length;
  const peakUtility = ({ peak, slope, ratio, gap }: PeakShape, amount: Amount) => {
    const at = amount ?? min - gap;
    const best = peak === 0 ? min - gap : peaks[peak - 1];
    return at < best ? -slope * (best - at) : -slope * ratio * (at - best);
  };
  const levels = [...Array(3 ** KNOTS).keys()]
    .map((code): readonly number[] => Array.from({ length: KNOTS }, (_, knot) => Math.floor(code / 3 ** knot) % 3))
    .filter(hasValley);
  const valleyUtility = ({ levels: values, scale }: ValleyShape, amount: Amount) => {
    // Place on the axis of knots: 0 is clean, 1 the least amount, the last the greatest.
    const at = amount === null ? 0 : 1 + ((KNOTS - 2) * (amount - min)) / range;
    const left = Math.min(KNOTS - 2, Math.floor(at));
    return scale * (values[left] + (values[left + 1] - values[left]) * (at - left));
  };
  last = {
    min,
    max,
    peaks,
    peak: new ShapeFamily(shapes, peakUtility, ({ peak }) => placePrior(peak) * each),
    valley: new ShapeFamily(
      SCALES.flatMap((scale) => levels.map((values): ValleyShape => ({ levels: values, scale }))),
      valleyUtility,
    ),
  };
  return last;
}

/** Posterior for one control from `min` to `max`. */
export class DriveModel {
  readonly peaks: readonly Decibels[];
  readonly peak: ShapeSet<PeakShape>;
  readonly flat = new ShapeSet(FLAT);
  readonly valley: ShapeSet<ValleyShape>;

  constructor(
    readonly min: Decibels,
    readonly max: Decibels,
  ) {
    if (!(max - min > 0)) throw new RangeError('A drive search needs a range from a smaller to a greater amount.');
    const families = familiesFor(min, max);
    this.peaks = families.peaks;
    this.peak = new ShapeSet(families.peak);
    this.valley = new ShapeSet(families.valley);
  }

  /** Takes one answer into account. */
  update(answer: DriveAnswer): void {
    for (const family of [this.peak, this.flat, this.valley]) family.update(answer);
  }

  /** How much better one peak explains the answers than no preference (Bayes factor). */
  get preferenceFactor(): number {
    return Math.exp(this.peak.logEvidence - this.flat.logEvidence);
  }

  /** How much better curves with a valley explain the answers than the better of one peak and no preference. */
  get misfitFactor(): number {
    return Math.exp(this.valley.logEvidence - Math.max(this.peak.logEvidence, this.flat.logEvidence));
  }

  /** Probability of each family given the answers. */
  families(): Record<Family, number> {
    const log = (family: Family) => Math.log(PRIOR[family]) + this[family].logEvidence;
    const most = Math.max(log('peak'), log('flat'), log('valley'));
    const part = (family: Family) => Math.exp(log(family) - most);
    const total = part('peak') + part('flat') + part('valley');
    return { peak: part('peak') / total, flat: part('flat') / total, valley: part('valley') / total };
  }

  /** Probability of each place of the one peak: clean first, then `peaks`. */
  peakProbabilities(): Float64Array {
    const marginal = new Float64Array(this.peaks.length + 1);
    for (const [i, { peak }] of this.peak.family.shapes.entries()) marginal[peak] += this.peak.weights[i];
    return marginal;
  }

  /**
   * The amount below which the peak lies with probability `share`: clean while that suffices, else between the grid's
   * steps, each of which stands for half a step to either side.
   */
  peakQuantile(share: number): Amount {
    const marginal = this.peakProbabilities();
    if (share <= marginal[0]) return null;
    const step = (this.max - this.min) / PEAK_STEPS;
    let below = marginal[0];
    for (const [i, peak] of this.peaks.entries()) {
      const mass = marginal[i + 1];
      if (below + mass >= share) {
        const at = peak - step / 2 + (step * (share - below)) / mass;
        return Math.min(this.max, Math.max(this.min, at));
      }
      below += mass;
    }
    return this.max;
  }
}

/** Some value lies below a value to its left and a value to its right. */
function hasValley(levels: readonly number[]): boolean {
  return levels.some(
    (level, i) => levels.slice(0, i).some((left) => left > level) && levels.slice(i + 1).some((right) => right > level),
  );
}
