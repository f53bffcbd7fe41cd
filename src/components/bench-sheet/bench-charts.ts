import { type SVGTemplateResult, svg, type TemplateResult } from 'lit';
import type { BenchResult } from '../../stores/tone-bench-store.ts';
import { figure } from '../format/figures.ts';
import { harmonicTable, productTable, sweepTable } from './bench-tables.ts';
import type { ChartSize } from './chart-axes.ts';
import { linePlot, type MeasuredLine } from './line-plot.ts';
import { type Series, sweepPlot } from './sweep-plot.ts';

/** Orders drawn in a sweep; the table has them too. */
export const SWEPT_ORDERS = [2, 3, 4, 5];

export interface BenchChart {
  readonly title: string;
  readonly about: string;
  readonly draw: (size: ChartSize) => SVGTemplateResult;
  readonly table: () => TemplateResult;
}

/** The chart of a result; null for tests whose answer is a table. */
export function chartOf(result: BenchResult): BenchChart | null {
  switch (result.test) {
    case 'tone':
      return {
        title: 'Harmonics, dBc',
        about: 'Harmonics over the fundamental.',
        draw: (size) =>
          linePlot(harmonicLines(result), { kind: 'order', from: 0.4, to: 20.6, unit: '' }, result.floorDbc, size),
        table: () => harmonicTable(result),
      };
    case 'smpte':
    case 'difference': {
      const half = result.sampleRate / 2;
      const axis =
        result.test === 'smpte'
          ? ({ kind: 'log', from: 20, to: half, unit: 'Hz' } as const)
          : ({ kind: 'linear', from: 0, to: half, unit: 'Hz' } as const);
      return {
        title: 'Products, dBc over f2',
        about: 'Sum and difference products of both tones over the upper one.',
        draw: (size) => linePlot(productLines(result), axis, result.floorDbc, size),
        table: () => productTable(result),
      };
    }
    case 'level-sweep':
    case 'frequency-sweep': {
      const by = result.test === 'level-sweep' ? 'level' : 'frequency';
      const at = result.points.map((point) => (by === 'level' ? point.levelDbfs : point.hz));
      const [from, to] = [Math.min(...at), Math.max(...at)];
      return {
        title: by === 'level' ? 'THD and harmonics against level, dBc' : 'THD and harmonics against frequency, dBc',
        about: describeSweep(result, by),
        draw: (size) =>
          at.length === 0
            ? svg``
            : sweepPlot(
                at,
                sweepSeries(result),
                by === 'level'
                  ? { kind: 'linear', from, to: to > from ? to : from + 1, unit: 'dBFS in' }
                  : { kind: 'log', from, to: to > from ? to : 2 * from, unit: 'Hz' },
                size,
              ),
        table: () => sweepTable(result.points, by, SWEPT_ORDERS),
      };
    }
    default:
      return null;
  }
}

function harmonicLines({ harmonics, fundamentalDbfs }: BenchResult): MeasuredLine[] {
  const own: MeasuredLine[] = fundamentalDbfs === null ? [] : [{ label: 'fundamental', at: 1, db: 0, mark: 'tone' }];
  return own.concat(
    harmonics.flatMap(({ n, dbc }) =>
      dbc === null
        ? []
        : [
            {
              label: `H${n}: ${figure(dbc, { digits: 1 })} dBc`,
              at: n,
              db: dbc,
              mark: n % 2 ? ('odd' as const) : ('even' as const),
            },
          ],
    ),
  );
}

function productLines({ tones, products, foldedProducts }: BenchResult): MeasuredLine[] {
  const upper = tones.at(-1)?.outDbfs ?? null;
  const own = tones.flatMap(({ hz, outDbfs }, i): MeasuredLine[] =>
    outDbfs === null || upper === null ? [] : [{ label: `f${i + 1}`, at: hz, db: outDbfs - upper, mark: 'tone' }],
  );
  return [
    ...own,
    ...products.map(
      ({ label, hz, dbc, order }): MeasuredLine => ({ label, at: hz, db: dbc, mark: order % 2 === 0 ? 'even' : 'odd' }),
    ),
    ...foldedProducts.map(
      ({ label, hz, dbc }): MeasuredLine => ({ label: `${label} (alias)`, at: hz, db: dbc, mark: 'alias' }),
    ),
  ];
}

function sweepSeries({ points }: BenchResult): Series[] {
  const above = (dbc: number | null | undefined, floorDbc: number | null) =>
    typeof dbc === 'number' && (floorDbc === null || dbc > floorDbc) ? dbc : null;
  return [
    ...SWEPT_ORDERS.map(
      (n): Series => ({
        name: `H${n}`,
        mark: n % 2 === 0 ? 'even' : 'odd',
        values: points.map(({ harmonics, floorDbc }) => above(harmonics.find((one) => one.n === n)?.dbc, floorDbc)),
      }),
    ),
    {
      name: 'THD',
      mark: 'thd',
      values: points.map(({ thdFPercent }) =>
        thdFPercent !== null && thdFPercent > 0 ? 20 * Math.log10(thdFPercent / 100) : null,
      ),
    },
  ];
}

function describeSweep({ points }: BenchResult, by: 'level' | 'frequency'): string {
  const highest = points.reduce<{ at: number; percent: number } | null>((most, point) => {
    const percent = point.thdFPercent ?? 0;
    if (most && percent <= most.percent) return most;
    return { at: by === 'level' ? point.levelDbfs : point.hz, percent };
  }, null);
  if (!highest) return 'No point was measured.';
  const at = by === 'level' ? `${figure(highest.at, { digits: 1 })} dBFS` : `${figure(highest.at, { digits: 0 })} Hz`;
  return `Most THD, ${figure(highest.percent, { digits: 2 })} %, at ${at}.`;
}
