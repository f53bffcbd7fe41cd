/** Sum and difference products of two tones: which there are, what they are called, and where they stand. */

/** Highest order that is told by name. */
export const HIGHEST_ORDER = 7;

export interface ProductName {
  /** Frequency m·f1 + n·f2, not negative; m and n as they make it so. */
  readonly m: number;
  readonly n: number;
  readonly order: number;
  readonly label: string;
}

/** A product on the bins of a window. */
export interface PlacedProduct extends ProductName {
  /** True frequency in bins, DC and half the sample rate included. */
  readonly trueBin: number;
  /** Where it stands: the same below half the sample rate, folded back from there on. */
  readonly bin: number;
  readonly folded: boolean;
}

/** All products of orders 2 to `highest` of tones on bins k1 < k2, the harmonics among them, by ascending order. */
export function placeProducts(k1: number, k2: number, size: number, highest = HIGHEST_ORDER): PlacedProduct[] {
  const products: PlacedProduct[] = [];
  for (let order = 2; order <= highest; order++) {
    for (let m = order; m >= 0; m--) {
      for (const sign of order - m === 0 || m === 0 ? [1] : [1, -1]) {
        products.push(place(m, sign * (order - m), k1, k2, size));
      }
    }
  }
  return products;
}

function place(m: number, n: number, k1: number, k2: number, size: number): PlacedProduct {
  const bin = m * k1 + n * k2;
  // The sign of a product of real tones only turns its phase over, so the name is given to the positive frequency.
  const [a, b] = bin < 0 ? [-m, -n] : [m, n];
  const trueBin = Math.abs(bin);
  const folded = foldBin(trueBin, size);
  return {
    m: a,
    n: b,
    order: Math.abs(m) + Math.abs(n),
    label: productLabel(a, b),
    trueBin,
    bin: folded,
    folded: trueBin >= size / 2,
  };
}

/** The bin from 0 to half the size at which a frequency appears after sampling. */
export function foldBin(bin: number, size: number): number {
  const within = bin % size;
  return Math.min(within, size - within);
}

/** "2f1 − f2", "f2 − f1", "f1 + 2f2", "3f1": the positive term first. */
export function productLabel(m: number, n: number): string {
  const terms = [
    { count: m, name: 'f1' },
    { count: n, name: 'f2' },
  ].filter(({ count }) => count !== 0);
  if (terms.length === 2 && m < 0) terms.reverse();
  return terms
    .map(({ count, name }, index) => {
      const size = Math.abs(count) === 1 ? name : `${Math.abs(count)}${name}`;
      return index === 0 ? size : `${count < 0 ? '−' : '+'} ${size}`;
    })
    .join(' ');
}
