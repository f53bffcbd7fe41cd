/**
 * A family of utility curves with their probabilities, and what answers to pairs do to them.
 *
 * The second of a pair is chosen with P = λ/2 + (1 − λ)/(1 + exp(−(u₂ − u₁ + b))): u is the utility in logits, λ the
 * share of answers given without listening, b a liking for whatever comes second. λ and b are unknown too and lie on a
 * small grid. Each answer multiplies every probability by that of the answer (Bayes).
 */
import type { Decibels } from '../dsp/units.ts';

/** An amount on the control; null is clean. */
export type Amount = Decibels | null;

/** One answered pair in the order it was heard. */
export interface DriveAnswer {
  readonly first: Amount;
  readonly second: Amount;
  readonly chosen: 'first' | 'second';
}

const ORDER_BIASES = [-0.5, 0, 0.5];
const LAPSES = [0.01, 0.08];
const NOISES = LAPSES.flatMap((lapse) => ORDER_BIASES.map((bias) => ({ lapse, bias })));

/** Curves and their prior probabilities, without answers: several sets may share one. */
export class ShapeFamily<Shape> {
  readonly prior: Float64Array;
  readonly #utilities = new Map<Amount, Float64Array>();

  constructor(
    readonly shapes: readonly Shape[],
    private readonly utility: (shape: Shape, amount: Amount) => number,
    prior: (shape: Shape) => number = () => 1 / shapes.length,
  ) {
    this.prior = Float64Array.from(shapes, prior);
  }

  /** Utility of an amount under every curve, logits. Worked out once, since the same few amounts come again and again. */
  utilities(amount: Amount): Float64Array {
    let found = this.#utilities.get(amount);
    if (!found) {
      found = Float64Array.from(this.shapes, (shape) => this.utility(shape, amount));
      this.#utilities.set(amount, found);
    }
    return found;
  }
}

/** What the answers leave of a family. */
export class ShapeSet<Shape> {
  /** Probability of each curve given the answers so far; their sum is 1. */
  readonly weights: Float64Array;
  /** Natural logarithm of the probability of all answers so far under this family. */
  logEvidence = 0;
  readonly #cells: Float64Array;

  constructor(readonly family: ShapeFamily<Shape>) {
    this.weights = family.prior.slice();
    this.#cells = new Float64Array(this.weights.length * NOISES.length);
    for (let cell = 0; cell < this.#cells.length; cell++) {
      this.#cells[cell] = this.weights[Math.floor(cell / NOISES.length)] / NOISES.length;
    }
  }

  utilities(amount: Amount): Float64Array {
    return this.family.utilities(amount);
  }

  /** Takes one answer into account. */
  update({ first, second, chosen }: DriveAnswer): void {
    const [before, after] = [this.utilities(first), this.utilities(second)];
    const sign = chosen === 'second' ? 1 : -1;
    const cells = this.#cells;
    const lapses = Float64Array.from(NOISES, ({ lapse }) => lapse);
    // exp(−(u + b)) is a product: one exponential serves every order bias.
    const factors = Float64Array.from(NOISES, ({ bias }) => Math.exp(-sign * bias));
    let sum = 0;
    for (let shape = 0; shape < before.length; shape++) {
      const against = Math.exp(sign * (before[shape] - after[shape]));
      let weight = 0;
      for (let i = 0; i < factors.length; i++) {
        const cell = shape * factors.length + i;
        cells[cell] *= lapses[i] / 2 + (1 - lapses[i]) / (1 + against * factors[i]);
        weight += cells[cell];
      }
      this.weights[shape] = weight;
      sum += weight;
    }
    for (let cell = 0; cell < cells.length; cell++) cells[cell] /= sum;
    for (let shape = 0; shape < this.weights.length; shape++) this.weights[shape] /= sum;
    this.logEvidence += Math.log(sum);
  }
}
