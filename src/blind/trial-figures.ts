/** The figures of an analysis by name: what a record states at the end, and what a recomputation is compared with. */

import type { TrialRecord } from './trial-record.ts';
import type { Analysis, TrialResult } from './trial-results.ts';
import { analyse } from './trial-results.ts';

export type TrialFigures = Record<string, number | string | null>;

/** Finite figures only; what isn't defined or beyond a double is null. */
export function figuresOf(analysis: Analysis): TrialFigures {
  const { result, catches } = analysis;
  const figures: TrialFigures = {
    verdict: result.verdict,
    ...resultFigures(result),
    counted: analysis.counted,
    choseFirst: analysis.choseFirst,
    training: analysis.training,
    discarded: analysis.discarded,
    catchTrials: catches.presented,
    catchMissed: catches.missed,
  };
  return Object.fromEntries(
    Object.entries(figures).map(([name, value]) => [
      name,
      typeof value === 'number' && !Number.isFinite(value) ? null : value,
    ]),
  );
}

function resultFigures(result: TrialResult): TrialFigures {
  switch (result.kind) {
    case 'abx':
      return {
        correct: result.correct,
        p: result.p,
        eValue: result.eValue,
        rateLow: result.interval?.low ?? null,
        rateHigh: result.interval?.high ?? null,
        ruledOutRate: result.ruledOut?.rightRate ?? null,
      };
    case 'preference':
      return {
        preferred: result.preferred === null ? null : result.names[result.preferred],
        p: result.p,
        eValue: result.eValue,
        rateLow: result.interval?.low ?? null,
        rateHigh: result.interval?.high ?? null,
        ...Object.fromEntries(
          result.names.map((_, i) => [`wins${i + 1}`, result.wins[i].reduce((sum, count) => sum + count, 0)]),
        ),
        ...Object.fromEntries((result.scale?.abilities ?? []).map((value, i) => [`ability${i + 1}`, value])),
      };
    case 'drive-search':
      return {
        preferredDb: result.preferredDb ?? 'clean',
        lowDb: result.low ?? 'clean',
        highDb: result.high ?? 'clean',
        preferenceFactor: result.preferenceFactor,
        misfitFactor: result.misfitFactor,
        onePeak: result.misfit ? 'no' : 'yes',
      };
    case 'confirm':
      return {
        chosen: result.chosen,
        eValueHelps: result.eValueHelps,
        eValueHurts: result.eValueHurts,
        rateLow: result.interval.low,
        rateHigh: result.interval.high,
      };
  }
}

export interface Recomputation {
  readonly analysis: Analysis;
  readonly figures: TrialFigures;
  /** Names of stated figures that the answers don't bear out. */
  readonly disagreeing: readonly string[];
  /** Whether every coin of the trials is the one that was drawn, in order. */
  readonly coinsAsDrawn: boolean;
}

/** Every statistic of a record from its answers, and where the record states another. Numbers agree within 1e-6 of their size. */
export function recompute(record: TrialRecord): Recomputation {
  const analysis = analyse(record);
  const figures = figuresOf(analysis);
  const disagreeing = Object.entries(record.stated)
    .filter(([name, stated]) => !(name in figures) || !agree(stated, figures[name]))
    .map(([name]) => name);
  const drawn = (purpose: string) =>
    record.draws.filter((draw) => draw.purpose === purpose && draw.of === 2).map(({ value }) => value);
  const thrown = { order: record.trials.map(({ orderCoin }) => orderCoin), x: record.trials.map(({ xCoin }) => xCoin) };
  const coinsAsDrawn =
    same(drawn('order'), thrown.order) &&
    same(
      drawn('x'),
      thrown.x.filter((value) => value !== null),
    );
  return { analysis, figures, disagreeing, coinsAsDrawn };
}

function same(a: readonly number[], b: readonly number[]): boolean {
  return a.length === b.length && a.every((value, i) => value === b[i]);
}

function agree(a: number | string | null, b: number | string | null): boolean {
  if (typeof a === 'number' && typeof b === 'number') {
    return Math.abs(a - b) <= 1e-6 * Math.max(1, Math.abs(a), Math.abs(b));
  }
  return a === b;
}
