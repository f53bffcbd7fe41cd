import chiSquare from '@stdlib/stats-base-dists-chisquare-cdf';
import { inverse } from './matrix.ts';

/** Up to so many possible outcomes all of them are looked at. */
const MOST_OUTCOMES = 300_000;
/** Sums of the same terms in another order differ by less. */
const ROUNDING = 1e-9;

/**
 * Whether several sides are told apart at all: p of the score test (Rao 1948 [M]) that every answer was a fair coin, in
 * the Bradley-Terry model. Exact while the pairs' counts have at most 300 000 outcomes, by adding up those that are as
 * uneven as what was found; beyond by the chi-squared distribution with one degree of freedom less than there are sides.
 * @param wins wins[i][j]: how often i was chosen over j
 * @returns null where the pairs don't connect all sides
 */
export function anyPreferenceP(wins: readonly (readonly number[])[]): number | null {
  const pairs = wins.flatMap((row, i) =>
    row.flatMap((count, j) => (j > i && count + wins[j][i] > 0 ? [{ i, j, games: count + wins[j][i] }] : [])),
  );
  const uneven = unevenness(wins.length, pairs);
  if (uneven === null) return null;
  const found = uneven(pairs.map(({ i, j }) => wins[i][j]));
  const outcomes = pairs.reduce((product, { games }) => product * (games + 1), 1);
  if (outcomes > MOST_OUTCOMES) return 1 - chiSquare(found, wins.length - 1);
  const counts = pairs.map(() => 0);
  const visit = (at: number, chance: number): number => {
    if (at === pairs.length) return uneven(counts) >= found - ROUNDING ? chance : 0;
    const { games } = pairs[at];
    let sum = 0;
    let ways = chance / 2 ** games;
    for (let k = 0; k <= games; k++) {
      counts[at] = k;
      sum += visit(at + 1, ways);
      ways *= (games - k) / (k + 1);
    }
    return sum;
  };
  return Math.min(1, visit(0, 1));
}

interface Pair {
  readonly i: number;
  readonly j: number;
  readonly games: number;
}

/** UᵀI⁻¹U of the first sides' counts in every pair; null where the information can't be inverted. */
function unevenness(sides: number, pairs: readonly Pair[]): ((counts: readonly number[]) => number) | null {
  // The first side is the reference; any other gives the same figure.
  const information = Array.from({ length: sides - 1 }, () => new Array<number>(sides - 1).fill(0));
  for (const { i, j, games } of pairs) {
    if (i > 0) information[i - 1][i - 1] += games / 4;
    if (j > 0) information[j - 1][j - 1] += games / 4;
    if (i > 0 && j > 0) {
      information[i - 1][j - 1] -= games / 4;
      information[j - 1][i - 1] -= games / 4;
    }
  }
  let covariance: number[][];
  try {
    covariance = inverse(information);
  } catch {
    return null;
  }
  const slope = new Array<number>(sides).fill(0);
  return (counts) => {
    slope.fill(0);
    for (const [at, { i, j, games }] of pairs.entries()) {
      slope[i] += counts[at] - games / 2;
      slope[j] -= counts[at] - games / 2;
    }
    let sum = 0;
    for (const [row, values] of covariance.entries()) {
      for (const [column, value] of values.entries()) sum += slope[row + 1] * value * slope[column + 1];
    }
    return sum;
  };
}
