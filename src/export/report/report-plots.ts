/** Which plots a report has. */

import { chart, differenceAxis, FREQUENCY_AXIS, levelAxis } from './plots.ts';
import type { ReportRack, ReportStage, SessionReport } from './report-model.ts';
import { figure } from './words.ts';

/** Both mixes and what was added. */
export function spectrumPlot({ mix: { spectrum }, sides }: SessionReport): string {
  const levels = spectrum.flatMap(({ aDb, bDb }) => [aDb, bDb]);
  const top = Math.max(-120, ...levels.map((level) => level ?? -160));
  const shown = levels.filter((level) => level === null || level > top - 96);
  return chart({
    title: `Spectrum of the mix: ${sides.a.name}, ${sides.b.name} and what was added`,
    width: 680,
    height: 250,
    x: FREQUENCY_AXIS,
    y: levelAxis(shown, 12, 96),
    unit: 'dB',
    lines: [
      { name: 'Added', className: 'added', points: spectrum.map(({ hz, addedDb }) => [hz, addedDb]) },
      { name: sides.a.name, className: 'clean', points: spectrum.map(({ hz, aDb }) => [hz, aDb]) },
      { name: sides.b.name, className: 'coloured', points: spectrum.map(({ hz, bDb }) => [hz, bDb]) },
    ],
  });
}

/** Difference in third octaves. */
export function tonePlot(
  title: string,
  hz: readonly number[],
  toneDb: readonly (number | null)[],
  { width, height } = { width: 680, height: 170 },
): string {
  return chart({
    title,
    width,
    height,
    x: FREQUENCY_AXIS,
    y: differenceAxis(toneDb, 1),
    unit: 'dB',
    bars: toneDb.map((db, i) => [hz[i], db]),
  });
}

/** Loudness and true peak from the rack's input through every stage to its matched output. */
export function levelPlot(rack: ReportRack): string {
  const points = [...rack.levels, ...(rack.output ? [rack.output] : [])];
  // Names of more than three stages would run into each other; the numbers are those of the stages below.
  const named = rack.stages.length <= 3;
  const label = (i: number) =>
    i === 0
      ? 'In'
      : i === points.length - 1 && rack.output
        ? 'Out'
        : named
          ? `${i} ${rack.stages[i - 1]?.label ?? ''}`
          : `${i}`;
  const of = (key: 'integratedLufs' | 'truePeakDbtp') => points.map((point, i) => [i, point[key]] as const);
  return chart({
    title: `Levels along the rack of ${rack.name}`,
    width: 330,
    height: 110,
    x: { from: -0.2, to: points.length - 0.8, ticks: points.map((_, i) => [i, label(i)] as const) },
    y: levelAxis(
      points.flatMap(({ integratedLufs, truePeakDbtp }) => [integratedLufs, truePeakDbtp]),
      6,
      12,
    ),
    unit: 'dB',
    lines: [
      { name: 'Loudness', className: 'coloured', points: of('integratedLufs'), marks: true },
      { name: 'True peak', className: 'clean', points: of('truePeakDbtp'), marks: true },
    ],
  });
}

/** The static curve against the straight line. */
export function curvePlot(stage: ReportStage): string {
  const reach = Math.max(...stage.curve.map(([x]) => Math.abs(x)));
  const most = Math.max(reach, ...stage.curve.map(([, y]) => Math.abs(y)));
  const ticks = (end: number) => [-end, 0, end].map((at) => [at, figure(at, 2, true)] as const);
  return chart({
    title: `Curve of ${stage.label}: output against input`,
    width: 150,
    height: 116,
    x: { from: -reach, to: reach, ticks: ticks(reach) },
    y: { from: -most, to: most, ticks: ticks(most) },
    unit: 'out',
    legend: false,
    lines: [
      {
        name: 'straight',
        className: 'clean',
        points: [
          [-reach, -reach],
          [reach, reach],
        ],
      },
      { name: 'curve', className: 'coloured', points: stage.curve },
    ],
  });
}
