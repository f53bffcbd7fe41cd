import type { Decibels } from '../../dsp/units.ts';
import type { RackConfig } from '../../engine/config.ts';
import type { BenchJob } from './bench-job.ts';
import { blankResult, gainOf, toneOf } from './bench-job.ts';
import { interaction } from './interaction.ts';
import { LineSpectrum } from './line-spectrum.ts';
import { oneStageOf } from './one-stage.ts';
import type { PairFigures } from './pair-figures.ts';
import { groupByLine, pairFigures } from './pair-figures.ts';
import { PAIR_SECONDS } from './pair-tests.ts';
import { placeProducts } from './products.ts';
import type { BenchProduct, BenchResult, StackColumn, StackRow, ToneFigures } from './result.ts';
import { toneFigures } from './tone-figures.ts';
import type { CoherentPair } from './window.ts';
import { coherentPair, coherentTone, windowFor } from './window.ts';

/** What is shown of a stack. */
const LIMIT_DBC: Decibels = -90;

interface Measured {
  readonly column: StackColumn;
  readonly tone: ToneFigures;
  readonly pair: PairFigures;
  /** Every product above the noise. */
  readonly all: readonly BenchProduct[];
  readonly settledDbc: Decibels | null;
}

/**
 * A stack, stage by stage: two tones and, apart from them, one tone go through the first stage, the first two and so
 * on (stages that are off are left out), then through the one stage that makes the same THD of the tone. The tone's
 * figures and the products at the top of the result are those after the last stage.
 */
export function* stackTest(job: BenchJob): Generator<void, BenchResult> {
  const { f1, f2, ratio, level, frequency } = job.values;
  const { rack, sampleRate } = job.spec;
  const size = windowFor(PAIR_SECONDS, sampleRate);
  const pair = coherentPair(f1, f2, ratio, level, sampleRate, size);
  const tone = coherentTone(frequency, level, sampleRate, size);
  const stages = rack.stages.filter(({ on }) => on);

  const through = function* (part: RackConfig, kind: string, driveDb: Decibels | null): Generator<void, Measured> {
    const { planes, settledDbc } = yield* job.steady.measure(part, [pair.sum, tone.samples]);
    const figures = toneFigures(planes[1], sampleRate, tone.hz);
    yield;
    const pairs = pairFigures(planes[0], sampleRate, pair.bins, LIMIT_DBC);
    yield;
    const { thdFPercent } = figures;
    const { intermodulationPercent } = pairs;
    return {
      column: { kind, thdFPercent, intermodulationPercent, driveDb },
      tone: figures,
      pair: pairs,
      all: allProducts(planes[0], sampleRate, pair),
      settledDbc,
    };
  };

  const measured: Measured[] = [];
  for (let count = 1; count <= stages.length; count++) {
    const whole = count === stages.length;
    const part = { on: true, match: whole ? rack.match : 1, stages: stages.slice(0, count) };
    measured.push(yield* through(part, stages[count - 1].kind, null));
  }
  const last = measured[measured.length - 1];
  const thdF = last.tone.thdFPercent === null ? null : last.tone.thdFPercent / 100;
  const one = yield* oneStageOf(stages[0], thdF, frequency, level, job.steady);
  if ('rack' in one) measured.push(yield* through(one.rack, stages[0].kind, one.driveDb));
  const mutual = yield* interaction(job, rack, pair);

  const blank = blankResult(job, size, last.settledDbc);
  return {
    ...blank,
    ...last.tone,
    products: last.pair.products,
    foldedProducts: last.pair.foldedProducts,
    tones: [
      toneOf(pair.first, last.pair.f1Dbfs),
      toneOf(pair.second, last.pair.f2Dbfs),
      toneOf(tone, last.tone.fundamentalDbfs),
    ],
    gainDb: gainOf(last.tone.fundamentalDbfs, tone.dbfs),
    stack: {
      columns: measured.map(({ column }) => column),
      oneStage: 'rack' in one ? measured.length - 1 : null,
      rows: rowsOf(measured),
      interaction: mutual,
    },
    notes: 'rack' in one ? blank.notes : [...blank.notes, one.reason],
  };
}

function allProducts(samples: Float32Array, sampleRate: number, { bins }: CoherentPair): BenchProduct[] {
  const spectrum = new LineSpectrum(samples, sampleRate);
  const reference = spectrum.power[bins.k2];
  if (!(reference > 0)) return [];
  const limit = 10 * Math.log10(spectrum.floorPower() / reference);
  const placed = placeProducts(bins.k1, bins.k2, spectrum.size).filter(({ folded }) => !folded);
  return groupByLine(placed, spectrum, [bins.k1, bins.k2], reference, limit);
}

function rowsOf(measured: readonly Measured[]): StackRow[] {
  const names = new Map<string, BenchProduct>();
  for (const { all } of measured) {
    for (const product of all) if (product.dbc > LIMIT_DBC) names.set(product.label, product);
  }
  const rows = [...names.values()].map(({ label, hz, order }) => ({
    label,
    hz,
    order,
    dbc: measured.map(({ all }) => all.find((product) => product.label === label)?.dbc ?? null),
  }));
  const whole = measured.findLastIndex(({ column }) => column.driveDb === null);
  return rows.sort((a, b) => (b.dbc[whole] ?? -Infinity) - (a.dbc[whole] ?? -Infinity));
}
