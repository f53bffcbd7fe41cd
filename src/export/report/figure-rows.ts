/** Rows of the report's tables, the same for HTML and Markdown: plain text. */
import type { SideFigures } from '../../measure/figures.ts';
import type { ReportMatch, ReportRack, SessionReport } from './report-model.ts';
import { figure, panText, withUnit } from './words.ts';

const SIDE_ROWS: readonly (readonly [label: string, key: keyof SideFigures, unit: string, digits: number])[] = [
  ['Loudness, integrated', 'integratedLufs', 'LUFS', 2],
  ['True peak', 'truePeakDbtp', 'dBTP', 2],
  ['Highest sample', 'positivePeakDbfs', 'dBFS', 2],
  ['Lowest sample', 'negativePeakDbfs', 'dBFS', 2],
  ['Peak to loudness', 'plrDb', 'dB', 2],
  ['DC', 'dcDbfs', 'dBFS', 1],
  ['Limiting to −14 LUFS at −1 dBTP', 'limitingDb', 'dB', 2],
];

/** Label, side A, side B, B less A, unit. */
export function sideRows(a: SideFigures | null, b: SideFigures | null): string[][] {
  return SIDE_ROWS.map(([label, key, unit, digits]) => {
    const [first, second] = [a?.[key] ?? null, b?.[key] ?? null];
    const change = first === null || second === null ? null : second - first;
    return [label, figure(first, digits), figure(second, digits), figure(change, digits, true), unit];
  });
}

export function sessionRows({ session, sides }: SessionReport): string[][] {
  const { matchRegion } = session;
  return [
    ['Sample rate', `${session.sampleRate} Hz`],
    ['Length', `${figure(session.seconds, 2)} s`],
    ['Alignment level', `${figure(session.alignmentDbfs)} dBFS, of a sine`],
    ['Over-sampling', `${session.oversampling} times`],
    ['Latency, taken out of every file', `${session.latencySamples} samples`],
    [
      'Loudness match',
      session.matching
        ? `over ${figure(matchRegion.startSeconds, 2)} s to ${figure(matchRegion.endSeconds, 2)} s, ${session.matchSource}`
        : 'off',
    ],
    ['Last gain', matchText(sides.match)],
    ['Added by the stages', withUnit(sides.addedPercent, '% of amplitude', 2)],
    ...(session.muted.length > 0 ? [['Muted, and so left out', session.muted.join(', ')]] : []),
  ];
}

/** Name, into, gain, pan, stages, match, residual, spread. */
export function pathRow(rack: ReportRack): string[] {
  const stages = rack.stages.map(({ label, on }) => (on ? label : `(${label})`)).join(' → ');
  return [
    rack.name,
    rack.into,
    rack.gainDb === null ? '' : withUnit(rack.gainDb, 'dB', 2, true),
    rack.pan === null ? '' : panText(rack.pan),
    `${stages || 'empty'}${rack.on ? '' : ', off'}`,
    rack.match ? figure(rack.match.gainDb + rack.match.trimDb, 2, true) : '–',
    figure(rack.match?.residualLu, 3, true),
    rack.match ? `${figure(rack.match.spreadLowLu, 1, true)} to ${figure(rack.match.spreadHighLu, 1, true)}` : '–',
  ];
}

export const PATH_HEAD = ['Rack', 'Into', 'Gain', 'Pan', 'Stages', 'Match, dB', 'Residual, LU', 'Spread, LU'];

export function matchText(match: ReportMatch | null): string {
  if (!match) return '–';
  const trim = match.trimDb === 0 ? '' : `, ${figure(match.trimDb, 2, true)} dB by hand`;
  const spread =
    match.spreadLowLu === null || match.spreadHighLu === null
      ? ''
      : `; short-term ${figure(match.spreadLowLu, 1, true)} to ${figure(match.spreadHighLu, 1, true)} LU`;
  return `${figure(match.gainDb, 2, true)} dB${trim}, residual ${figure(match.residualLu, 3, true)} LU${spread}`;
}

/** Place along the rack, loudness, true peak. */
export function levelRows(rack: ReportRack): string[][] {
  const names = ['In', ...rack.stages.map(({ label }, i) => `after ${i + 1}, ${label}`)];
  const last = rack.output ? [['Out, matched', rack.output] as const] : [];
  return [...rack.levels.map((level, i) => [names[i] ?? '', level] as const), ...last].map(([name, level]) => [
    name,
    figure(level.integratedLufs, 2),
    figure(level.truePeakDbtp, 2),
  ]);
}
