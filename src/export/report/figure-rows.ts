/** Rows of the report's tables, the same for HTML and Markdown: plain text. */
import { unitOf } from '../../dsp/units.ts';
import type { SideFigures } from '../../measure/figures.ts';
import type { ReportMatch, ReportRack } from './report-model.ts';
import { figure } from './words.ts';

const SIDE_ROWS: readonly (readonly [label: string, key: keyof SideFigures, digits: number])[] = [
  ['Loudness, integrated', 'integratedLufs', 2],
  ['True peak', 'truePeakDbtp', 2],
  ['Highest sample', 'positivePeakDbfs', 2],
  ['Lowest sample', 'negativePeakDbfs', 2],
  ['Peak to loudness', 'plrDb', 2],
  ['DC', 'dcDbfs', 1],
  ['Limiting to −14 LUFS at −1 dBTP', 'limitingDb', 2],
];

/** What a rack's input and output are told by. */
const RACK_KEYS: readonly (keyof SideFigures)[] = ['integratedLufs', 'truePeakDbtp', 'plrDb', 'dcDbfs'];

/** Of a rack's input and output: label, in, out, out less in, unit. */
export function rackRows({ input, output }: ReportRack): string[][] {
  return figureRows(
    SIDE_ROWS.filter(([, key]) => RACK_KEYS.includes(key)),
    input,
    output,
  );
}

/** The same in one line. */
export function rackText(rack: ReportRack): string {
  return rackRows(rack)
    .map(([label, before, after, , unit]) =>
      `${label.replace(/, .*/, '')} ${before} → ${after} ${unit}`.replaceAll(' ', '\u00a0'),
    )
    .join('; ');
}

/** Label, side A, side B, B less A, unit. */
export function sideRows(a: SideFigures | null, b: SideFigures | null): string[][] {
  return figureRows(SIDE_ROWS, a, b);
}

function figureRows(rows: typeof SIDE_ROWS, a: SideFigures | null, b: SideFigures | null): string[][] {
  return rows.map(([label, key, digits]) => {
    const [first, second] = [a?.[key] ?? null, b?.[key] ?? null];
    const change = first === null || second === null ? null : second - first;
    return [label, figure(first, digits), figure(second, digits), figure(change, digits, true), unitOf(key)];
  });
}

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
