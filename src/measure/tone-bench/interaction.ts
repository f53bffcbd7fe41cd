import type { Decibels } from '../../dsp/units.ts';
import { gainToDb, orNull, powerToDb } from '../../dsp/units.ts';
import type { RackConfig } from '../../engine/config.ts';
import type { BenchJob } from './bench-job.ts';
import { LineSpectrum } from './line-spectrum.ts';
import { groupByLine } from './pair-figures.ts';
import { placeProducts } from './products.ts';
import type { StackTable } from './result.ts';
import type { CoherentPair } from './window.ts';

const LIMIT_DBC: Decibels = -90;

/**
 * What two inputs of one rack do to each other: F(a + b) − F(a) − F(b). A linear rack leaves nothing; a₂x² leaves
 * 2·a₂·a·b, that is f1 + f2 and f2 − f1 and no harmonics; a₃x³ leaves 3·a₃·(a²b + ab²), which also changes f1 and f2.
 */
export function* interaction(
  job: BenchJob,
  rack: RackConfig,
  pair: CoherentPair,
): Generator<void, StackTable['interaction']> {
  const { sampleRate } = job.spec;
  const { planes: sum } = yield* job.steady.measure(rack, [pair.sum]);
  const { planes: alone } = yield* job.steady.measure(rack, [pair.first.samples, pair.second.samples]);
  const whole = new LineSpectrum(sum[0], sampleRate);
  yield;
  return interactionFigures(
    Float64Array.from(sum[0], (y, i) => y - alone[0][i] - alone[1][i]),
    whole,
    pair.bins,
  );
}

/**
 * @param part F(a + b) − F(a) − F(b), one period
 * @param whole lines of F(a + b)
 */
export function interactionFigures(
  part: Float64Array,
  whole: LineSpectrum,
  { k1, k2 }: CoherentPair['bins'],
): StackTable['interaction'] {
  const spectrum = new LineSpectrum(part, whole.sampleRate);
  const reference = whole.power[k2];
  if (!(reference > 0)) return { lines: [], totalDbc: null, dcDbfs: null };
  // The noise is that of three outputs, and F(a + b) has harmonics that cancel here only down to it.
  const limit = Math.max(LIMIT_DBC, orNull(powerToDb((4 * whole.floorPower()) / reference)) ?? LIMIT_DBC);
  const tones = [
    { label: 'f1', bin: k1 },
    { label: 'f2', bin: k2 },
  ].map(({ label, bin }) => ({
    label,
    hz: spectrum.frequencyOf(bin),
    dbc: powerToDb(spectrum.power[bin] / reference),
    order: 1,
  }));
  const placed = placeProducts(k1, k2, spectrum.size).filter(({ folded }) => !folded);
  const products = groupByLine(placed, spectrum, [k1, k2], reference, limit).map(({ folded: _, ...line }) => line);
  const total = spectrum.power.reduce((a, b) => a + b, 0);
  return {
    lines: [...tones.filter(({ dbc }) => dbc > limit), ...products].sort((a, b) => b.dbc - a.dbc),
    totalDbc: orNull(powerToDb(total / reference)),
    dcDbfs: orNull(gainToDb(spectrum.dc)),
  };
}
