import { levelRows, matchText, PATH_HEAD, pathRow, sessionRows, sideRows } from './figure-rows.ts';
import type { ReportRack, ReportStage, SessionReport } from './report-model.ts';
import { figure, hertz, escapeMarkdown as text, withUnit } from './words.ts';

/** The report as Markdown with tables; every name and note is text in it. */
export function reportMarkdown(report: SessionReport): string {
  const { session, sides, mix, racks, scenes, trials } = report;
  const parts = [
    `# ${text(session.name || 'Session')}`,
    `${text(report.program)}${report.createdAt ? `, ${text(report.createdAt)}` : ''}`,
    ...notes(session.notes),
    ...report.statements.map((statement) => `> ${text(statement)}`),
    '## Both sides',
    table(['', sides.a.name, sides.b.name, 'Change', 'Unit'], sideRows(sides.a.figures, sides.b.figures)),
    table(['', ''], sessionRows(report)),
    '## Signal path',
    table(PATH_HEAD, racks.map(pathRow)),
    '## The mix in third octaves',
    table(
      ['Band', 'B − A, dB'],
      mix.thirdOctavesHz.map((hz, i) => [hertz(hz), figure(mix.toneDb[i], 2, true)]),
    ),
    ...racks.flatMap(rackParts),
    ...(scenes.length > 0
      ? [
          '## Scenes',
          table(
            ['Scene', 'Notes'],
            scenes.map(({ name, notes: words }) => [name, words]),
          ),
        ]
      : []),
    ...(trials.length > 0 ? ['## Blind trials'] : []),
    ...trials.flatMap(({ kind, startedAt, programme, sentence }) => [
      `### ${text(kind)}, ${text(startedAt)}`,
      text(programme),
      text(sentence),
    ]),
  ];
  return `${parts.filter((part) => part !== '').join('\n\n')}\n`;
}

function rackParts(rack: ReportRack): string[] {
  const head = [`## ${text(rack.name)}${rack.place === 'mix' ? '' : `, ${rack.place}`}`, ...notes(rack.notes)];
  if (rack.stages.length === 0) return [...head, 'The rack is empty.'];
  return [
    ...head,
    ...(rack.on ? [] : ['The rack is off.']),
    `Match ${text(matchText(rack.match))}; added ${text(withUnit(rack.addedPercent, '%', 2))}.`,
    table(['', 'In', 'Out, matched', 'Change', 'Unit'], sideRows(rack.input, rack.output)),
    table(['Along the rack', 'Loudness, LUFS', 'True peak, dBTP'], levelRows(rack)),
    ...rack.stages.flatMap(stageParts),
  ];
}

function stageParts(stage: ReportStage, index: number): string[] {
  const state = (atDefault: boolean, inEffect: boolean) =>
    inEffect ? (atDefault ? 'default' : 'set') : 'no effect as set';
  return [
    `### ${index + 1}. ${text(stage.label)}${stage.on ? '' : ', off'}`,
    ...notes(stage.notes),
    table(
      ['Setting', 'Value', ''],
      stage.parameters.map(({ label, text: value, atDefault, inEffect }) => [label, value, state(atDefault, inEffect)]),
    ),
    text(
      `997 Hz at the alignment level: THD ${withUnit(stage.thdPercent, '%', 3)}; 1 % THD at ${withUnit(stage.onePercentDbfs, 'dBFS')} after trim in.`,
    ),
  ];
}

function notes(words: string): string[] {
  return words.trim() === '' ? [] : [`> ${text(words)}`];
}

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) => `| ${cells.map(text).join(' | ')} |`;
  return [line(head), `|${head.map(() => ' --- ').join('|')}|`, ...rows.map(line)].join('\n');
}
