import type { Decibels } from '../../dsp/units.ts';
import { gainToDb, orNull } from '../../dsp/units.ts';
import type { BenchResult, BenchTone } from './result.ts';
import { NO_TONE } from './result.ts';
import type { BenchSpec } from './spec.ts';
import type { SteadyState } from './steady-state.ts';
import type { CoherentTone } from './window.ts';

/** What every test works with. */
export interface BenchJob {
  readonly spec: BenchSpec;
  /** Every parameter of the test. */
  readonly values: Readonly<Record<string, number>>;
  readonly steady: SteadyState;
}

/** A steady state that moves more than this from one period to the next is told of. */
const UNSETTLED_DBC = -120;
/** Level of the tone by which the small-signal gain is taken. */
export const SMALL_DBFS: Decibels = -100;

/** A result with nothing measured yet but what it was measured with. */
export function blankResult({ spec }: BenchJob, windowSamples: number, settledDbc: Decibels | null): BenchResult {
  const { test, rack, sampleRate, oversampling, alignmentDbfs } = spec;
  return {
    test,
    ...NO_TONE,
    dm2Percent: null,
    dm3Percent: null,
    dd2Percent: null,
    dd3Percent: null,
    products: [],
    foldedProducts: [],
    tones: [],
    smallSignalGainDb: null,
    gainDb: null,
    points: [],
    floor: null,
    stack: null,
    sampleRate,
    oversampling,
    alignmentDbfs,
    matchDb: orNull(gainToDb(rack.match)) ?? 0,
    windowSamples,
    settledDbc,
    notes: settledDbc !== null && settledDbc > UNSETTLED_DBC ? [unsettled(settledDbc)] : [],
  };
}

function unsettled(dbc: Decibels): string {
  return `The rack had not quite settled: from one period to the next its output still moved by ${dbc.toFixed(0).replace('-', '−')} dBc.`;
}

export function toneOf({ hz, dbfs }: CoherentTone, outDbfs: Decibels | null): BenchTone {
  return { hz, inDbfs: dbfs, outDbfs };
}

/** Level out less level in. */
export function gainOf(outDbfs: Decibels | null, inDbfs: Decibels): Decibels | null {
  return outDbfs === null ? null : outDbfs - inDbfs;
}
