/**
 * Preferences among several scenes from pairs: P(i is chosen over j) = 1 / (1 + exp(β_j − β_i)) (Bradley and Terry 1952
 * [M]). Maximum likelihood by Newton's method; standard errors from the inverse of the information matrix
 * I_ii = Σ_j n_ij p_ij p_ji, I_ij = −n_ij p_ij p_ji.
 *
 * Every comparison is a forced choice with one winner. A tie has no place in this model: whoever has ties must leave
 * them out, and say so; counts that aren't whole are refused, so that half wins can't come in unseen.
 */

import { inverse } from './matrix.ts';
import { BlindTrialError } from './trial-plan.ts';

export interface BradleyTerryFit {
  /** Log-abilities β, with the reference at 0. */
  readonly abilities: readonly number[];
  /** Standard errors of the differences from the reference; 0 for the reference. */
  readonly standardErrors: readonly number[];
  /** Log-abilities about their mean with the standard errors of that, which favour no scene: for drawing. */
  readonly centred: readonly { readonly value: number; readonly standardError: number }[];
  /** exp(β) as shares of 1. */
  readonly worth: readonly number[];
}

/**
 * @param wins wins[i][j]: how often i was chosen over j; the diagonal is ignored
 * @param names for sentences
 * @param reference index of the scene whose log-ability is 0; the last without it
 * @throws BlindTrialError where the comparisons don't connect the scenes, or where no finite estimate exists
 */
export function bradleyTerry(
  wins: readonly (readonly number[])[],
  names: readonly string[],
  reference = wins.length - 1,
): BradleyTerryFit {
  const count = wins.length;
  if (count < 2) throw new BlindTrialError('It takes at least two scenes to compare.');
  if (wins.some((row) => row.length !== count || row.some((n) => !Number.isInteger(n) || n < 0))) {
    throw new BlindTrialError('Wins are counted in whole numbers, a row and a column for each scene; leave ties out.');
  }
  checkConnected(wins, names);
  const free = [...wins.keys()].filter((i) => i !== reference);
  const beta = new Array<number>(count).fill(0);
  const chance = (i: number, j: number) => 1 / (1 + Math.exp(beta[j] - beta[i]));
  const games = (i: number, j: number) => wins[i][j] + wins[j][i];
  const others = (i: number) => [...wins.keys()].filter((j) => j !== i);
  const weight = (i: number, j: number) => games(i, j) * chance(i, j) * chance(j, i);
  const information = () =>
    free.map((i) =>
      free.map((j) => (i === j ? others(i).reduce((sum, other) => sum + weight(i, other), 0) : -weight(i, j))),
    );
  for (let round = 0; round < 100; round++) {
    const slope = free.map((i) => others(i).reduce((sum, j) => sum + wins[i][j] - games(i, j) * chance(i, j), 0));
    const covariance = inverse(information());
    const step = covariance.map((row) => row.reduce((sum, value, column) => sum + value * slope[column], 0));
    // The likelihood is concave, but far from its top a whole step can overshoot.
    const longest = Math.max(...step.map(Math.abs));
    const part = longest > 1 ? 1 / longest : 1;
    for (const [row, i] of free.entries()) beta[i] += part * step[row];
    if (longest < 1e-12) break;
  }
  const covariance = inverse(information());
  const full = wins.map((_, i) =>
    wins.map((_, j) => (i === reference || j === reference ? 0 : covariance[free.indexOf(i)][free.indexOf(j)])),
  );
  const mean = beta.reduce((sum, value) => sum + value, 0) / count;
  const rowMeans = full.map((row) => row.reduce((sum, value) => sum + value, 0) / count);
  const grandMean = rowMeans.reduce((sum, value) => sum + value, 0) / count;
  const total = beta.reduce((sum, value) => sum + Math.exp(value), 0);
  return {
    abilities: beta,
    standardErrors: full.map((row, i) => Math.sqrt(row[i])),
    centred: beta.map((value, i) => ({
      value: value - mean,
      standardError: Math.sqrt(Math.max(0, full[i][i] - 2 * rowMeans[i] + grandMean)),
    })),
    worth: beta.map((value) => Math.exp(value) / total),
  };
}

/** A finite maximum exists exactly when everyone can be reached from everyone along wins (Ford 1957 [M]). */
function checkConnected(wins: readonly (readonly number[])[], names: readonly string[]): void {
  const reached = (leads: (from: number, to: number) => boolean) => {
    const found = new Set([0]);
    for (const from of found) for (const to of wins.keys()) if (from !== to && leads(from, to)) found.add(to);
    return found;
  };
  const list = (chosen: (i: number) => boolean) =>
    [...wins.keys()]
      .filter(chosen)
      .map((i) => names[i] ?? `Scene ${i + 1}`)
      .join(', ');
  const compared = reached((from, to) => wins[from][to] + wins[to][from] > 0);
  if (compared.size < wins.length) {
    throw new BlindTrialError(
      `${list((i) => compared.has(i))} and ${list((i) => !compared.has(i))} were never compared with each other, directly or through another scene; add such pairs.`,
    );
  }
  const below = reached((from, to) => wins[from][to] > 0);
  if (below.size < wins.length) {
    throw new BlindTrialError(
      `${list((i) => !below.has(i))} won every comparison with ${list((i) => below.has(i))}, so how far apart they are has no finite estimate; add trials or read the counts.`,
    );
  }
  const above = reached((from, to) => wins[to][from] > 0);
  if (above.size < wins.length) {
    throw new BlindTrialError(
      `${list((i) => !above.has(i))} lost every comparison with ${list((i) => above.has(i))}, so how far apart they are has no finite estimate; add trials or read the counts.`,
    );
  }
}
