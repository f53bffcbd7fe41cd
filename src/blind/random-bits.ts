/**
 * Draws from a source of fair random bits that the caller passes in: the platform's cryptographic source on the screen,
 * a seeded one in tests. Every draw goes into a log, so that a record shows what was drawn and for what.
 */

/** One fair bit at each call. */
export type BitSource = () => 0 | 1;

/** One recorded draw: a number from 0 to `of` − 1, each equally likely. */
export interface Draw {
  readonly purpose: string;
  readonly of: number;
  readonly value: number;
}

/** Draws with a log of all of them, in order. */
export class DrawLog {
  readonly #bits: BitSource;
  readonly #draws: Draw[] = [];

  constructor(bits: BitSource) {
    this.#bits = bits;
  }

  get draws(): readonly Draw[] {
    return [...this.#draws];
  }

  /** A fair coin, independent of all others. */
  coin(purpose: string): 0 | 1 {
    const value = this.#bits();
    this.#draws.push({ purpose, of: 2, value });
    return value;
  }

  /**
   * A whole number from 0 to `of` − 1. Bits that would make a number of `of` or more are thrown away and drawn again,
   * since a remainder would favour the small numbers.
   */
  below(of: number, purpose: string): number {
    if (!Number.isInteger(of) || of < 1) throw new RangeError(`There is nothing to draw from ${of} possibilities.`);
    let value = 0;
    do {
      value = 0;
      for (let span = 1; span < of; span *= 2) value = value * 2 + this.#bits();
    } while (value >= of);
    this.#draws.push({ purpose, of, value });
    return value;
  }

  /** The items in an order drawn from all orders with equal chances (exchange from the end downwards). */
  shuffled<T>(items: readonly T[], purpose: string): T[] {
    const order = [...items];
    for (let last = order.length - 1; last > 0; last--) {
      const other = this.below(last + 1, purpose);
      [order[last], order[other]] = [order[other], order[last]];
    }
    return order;
  }
}

/** Bits from a generator of uniform numbers in [0, 1), for simulations and tests. */
export function bitsFrom(random: () => number): BitSource {
  return () => (random() < 0.5 ? 0 : 1);
}
