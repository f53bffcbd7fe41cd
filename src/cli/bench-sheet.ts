/** What the bench has found, for people. */

import type { RackConfig } from '../engine/config.ts';
import type { BenchPoint, BenchProduct, BenchResult, StackTable, ToneFigures } from '../measure/tone-bench/result.ts';
import { findBenchTest } from '../measure/tone-bench/spec.ts';
import { figure, rateText, signedText, table } from './sheet.ts';

/** Weaker harmonics are summed up in a line. */
const SHOWN_DBC = -140;
const SWEEP_HARMONICS = [2, 3, 4, 5, 6, 7];

export function benchSheet(result: BenchResult, name: string, rack: RackConfig): string {
  const parts = [heading(result, name, rack), signalLine(result)];
  if (result.points.length > 0) parts.push(sweepTable(result.points));
  else parts.push(figuresTable(result));
  if (result.harmonics.length > 0) parts.push(harmonicTable(result));
  if (result.floor) parts.push(floorTable(result.floor));
  if (result.stack) parts.push(stackSheet(result.stack));
  else if (result.products.length > 0) parts.push(productTable('Product', result.products));
  if (result.foldedProducts.length > 0) parts.push(productTable('Folded', result.foldedProducts));
  return [...parts.filter((part) => part !== ''), ...result.notes].join('\n\n');
}

function heading({ test, sampleRate, oversampling }: BenchResult, name: string, { on, stages }: RackConfig): string {
  const kinds = stages.map(({ kind, on: stageOn }) => (stageOn ? kind : `(${kind})`)).join(' → ');
  const path = stages.length === 0 ? 'empty' : `${kinds}${on ? '' : ', off'}`;
  const label = findBenchTest(test)?.label ?? test;
  return `${label} at ${rateText(sampleRate)}, over-sampled ${oversampling} times\n${name}: ${path}`;
}

function signalLine({ tones, sampleRate, windowSamples }: BenchResult): string {
  const names = tones.map(({ hz, inDbfs }) => `${hertz(hz)} at ${signedText(inDbfs, 2)} dBFS`);
  const window = `${windowSamples} samples (${(windowSamples / sampleRate).toFixed(2)} s)`;
  return `In: ${names.length > 0 ? `${names.join(', ')}; ` : ''}whole periods in ${window}`;
}

function hertz(hz: number): string {
  return `${hz.toFixed(hz < 100 ? 2 : 1)} Hz`;
}

function figuresTable(result: BenchResult): string {
  const pair = result.dm2Percent !== null || result.dd2Percent !== null;
  const rows: [string, number | null, number, string][] = [
    [pair ? 'Upper tone' : 'Fundamental', result.fundamentalDbfs, 2, 'dBFS'],
    ['Gain', result.gainDb, 3, 'dB'],
    ['  of small signals', result.smallSignalGainDb, 3, 'dB'],
    ['THD_F', result.thdFPercent, 4, '%'],
    ['THD_R', result.thdRPercent, 4, '%'],
    ['THD+N (20 Hz to 20 kHz)', result.thdNPercent, 4, '%'],
    ['Even harmonics', result.evenDbc, 2, 'dBc'],
    ['Odd harmonics', result.oddDbc, 2, 'dBc'],
    ['d_m2', result.dm2Percent, 4, '%'],
    ['d_m3', result.dm3Percent, 4, '%'],
    ['d_d2', result.dd2Percent, 4, '%'],
    ['d_d3', result.dd3Percent, 4, '%'],
    ['DC', result.dcDbfs, 1, 'dBFS'],
    ['Aliases and noise', result.aliasDbc, 1, 'dBc'],
  ];
  return table(
    rows
      .filter(([, value]) => value !== null)
      .map(([label, value, digits, unit]) => [label, levelFigure(value, digits, unit), unit]),
    2,
  );
}

/** Single precision has no levels below that worth a figure. */
function levelFigure(value: number | null, digits: number, unit: string): string {
  return value !== null && value < -200 && unit.startsWith('dB') ? '< −200'.padStart(8) : figure(value, digits);
}

function harmonicTable({ harmonics }: ToneFigures): string {
  const shown = harmonics.filter(({ dbc }) => dbc !== null && dbc > SHOWN_DBC);
  if (shown.length === 0) return `No harmonic above ${signedText(SHOWN_DBC, 0)} dBc.`;
  const rows = shown.map(({ n, dbc, phaseDeg }) => [`H${n}`, figure(dbc, 2), figure(phaseDeg, 1)]);
  const above = harmonics.filter(({ dbc }) => dbc === null).length;
  const weak = harmonics.length - shown.length - above;
  const rest = [
    weak > 0 ? `${weak} more below ${signedText(SHOWN_DBC, 0)} dBc` : '',
    above > 0 ? `${above} above half the sample rate` : '',
  ].filter((words) => words !== '');
  return [
    table([['Harmonic', '     dBc', '   phase°'], ...rows]),
    ...(rest.length > 0 ? [`To H20: ${rest.join(', ')}.`] : []),
  ].join('\n');
}

function productTable(title: string, products: readonly BenchProduct[]): string {
  return table([
    [title, '      Hz', '     dBc', 'order'],
    ...products.map(({ label, hz, dbc, order }) => [label, figure(hz, 1), figure(dbc, 2), `${order}`]),
  ]);
}

function sweepTable(points: readonly BenchPoint[]): string {
  const head = ['    Hz', '    dBFS', '    gain', '  THD_F%', ...SWEEP_HARMONICS.map((n) => `H${n}`.padStart(8))];
  return table([
    [...head, '   alias'],
    ...points.map((point) => [
      point.hz.toFixed(1).padStart(8),
      figure(point.levelDbfs, 1),
      figure(point.gainDb, 2),
      figure(point.thdFPercent, 4),
      ...SWEEP_HARMONICS.map((n) => figure(point.harmonics[n - 2]?.dbc ?? null, 1)),
      figure(point.aliasDbc, 1),
    ]),
  ]);
}

function floorTable({
  silenceDcDbfs,
  silenceNoiseDbfs,
  noiseDbfs,
  aliases,
}: NonNullable<BenchResult['floor']>): string {
  const silent = silenceDcDbfs === null && silenceNoiseDbfs === null;
  const rows = silent
    ? [['Silence in', 'digital silence out', '']]
    : [
        ['Silence in, DC out', figure(silenceDcDbfs, 1), 'dBFS'],
        ['Silence in, noise out', figure(silenceNoiseDbfs, 1), 'dBFS'],
      ];
  return table([
    ...rows,
    ['Noise beside the tone', figure(noiseDbfs, 1), 'dBFS'],
    ...aliases.map(({ hz, dbc }) => [`Aliases of ${hertz(hz)}, operating level`, figure(dbc, 1), 'dBc']),
  ]);
}

/** What a stack does, stage by stage, and what its two inputs do to each other. */
function stackSheet({ columns, oneStage, rows, interaction }: StackTable): string {
  const names = columns.map((_, index) => (index === oneStage ? 'one stage' : `after ${index + 1}`).padStart(9));
  const cells = (values: readonly (number | null)[], digits: number) =>
    values.map((value) => figure(value, digits).padStart(9));
  const one = oneStage === null ? null : columns[oneStage];
  return [
    table([
      ['Product', '      Hz', 'order', ...names],
      ...rows.map(({ label, hz, order, dbc }) => [label, figure(hz, 1), `${order}`, ...cells(dbc, 1)]),
      [
        'THD_F of the tone, %',
        '',
        '',
        ...cells(
          columns.map(({ thdFPercent }) => thdFPercent),
          4,
        ),
      ],
      [
        'Intermodulation, %',
        '',
        '',
        ...cells(
          columns.map(({ intermodulationPercent }) => intermodulationPercent),
          4,
        ),
      ],
    ]),
    ...(one?.driveDb == null
      ? []
      : [`One stage: ${one.kind} at ${signedText(one.driveDb, 2, true)} dB drive, the same THD of the tone.`]),
    '',
    interaction.lines.length === 0
      ? 'The two inputs leave each other alone.'
      : table([
          ['Of each on the other', '      Hz', '     dBc', 'order'],
          ...interaction.lines.map(({ label, hz, dbc, order }) => [label, figure(hz, 1), figure(dbc, 2), `${order}`]),
          ['In all', '', figure(interaction.totalDbc, 2), ''],
        ]),
  ].join('\n');
}
