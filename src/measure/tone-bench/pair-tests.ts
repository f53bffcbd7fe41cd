/** Tests of two tones: SMPTE intermodulation and difference tones. */
import type { Decibels } from '../../dsp/units.ts';
import type { BenchJob } from './bench-job.ts';
import { blankResult, gainOf, SMALL_DBFS, toneOf } from './bench-job.ts';
import { pairFigures } from './pair-figures.ts';
import type { BenchResult } from './result.ts';
import { toneFigures } from './tone-figures.ts';
import { coherentPair, coherentTone, windowFor } from './window.ts';

/** Long, so that 60 Hz can be put within 0.4 Hz of its place. */
export const PAIR_SECONDS = 1;
const LIMIT_DBC: Decibels = -120;

export function* pairTest(job: BenchJob): Generator<void, BenchResult> {
  const { f1, f2, ratio, level } = job.values;
  const { rack, sampleRate, test } = job.spec;
  const size = windowFor(PAIR_SECONDS, sampleRate);
  const pair = coherentPair(f1, f2, ratio, level, sampleRate, size);
  const small = coherentTone(f2, SMALL_DBFS, sampleRate, size);
  const { planes, settledDbc } = yield* job.steady.measure(rack, [pair.sum, small.samples]);
  const figures = pairFigures(planes[0], sampleRate, pair.bins, LIMIT_DBC);
  yield;
  const weak = toneFigures(planes[1], sampleRate, small.hz);
  const smpte = test === 'smpte';
  return {
    ...blankResult(job, size, settledDbc),
    fundamentalDbfs: figures.f2Dbfs,
    dcDbfs: figures.dcDbfs,
    aliasDbc: figures.aliasDbc,
    floorDbc: figures.floorDbc,
    dm2Percent: smpte ? figures.dm2Percent : null,
    dm3Percent: smpte ? figures.dm3Percent : null,
    dd2Percent: smpte ? null : figures.dd2Percent,
    dd3Percent: smpte ? null : figures.dd3Percent,
    products: figures.products,
    foldedProducts: figures.foldedProducts,
    tones: [toneOf(pair.first, figures.f1Dbfs), toneOf(pair.second, figures.f2Dbfs)],
    smallSignalGainDb: gainOf(weak.fundamentalDbfs, SMALL_DBFS),
  };
}
