import { levelRows, matchText, rackRows, sideRows } from './figure-rows.ts';
import { countText, PATH_HEAD, pathRows, sessionRows, untouchedText } from './glance.ts';
import type { ReportRack, ReportStage, SessionReport } from './report-model.ts';
import { describedRacks, kindDefaults, setRows } from './set-values.ts';
import { figure, hertz, escapeMarkdown as text, withUnit } from './words.ts';

/** The report as Markdown with tables: the session at a glance, then only what is set. Every name and note is text in it. */
export function reportMarkdown(report: SessionReport): string {
  const { session, sides, mix, scenes, trials } = report;
  const kinds = kindDefaults(report);
  const parts = [
    `# ${text(session.name || 'Session')}`,
    `${text(report.program)}${report.createdAt ? `, ${text(report.createdAt)}` : ''}`,
    ...notes(session.notes),
    ...report.statements.map((statement) => `> ${text(statement)}`),
    '## Both sides',
    table(['', sides.a.name, sides.b.name, 'Change', 'Unit'], sideRows(sides.a.figures, sides.b.figures)),
    table(['', ''], sessionRows(report)),
    '## Signal path',
    text(countText(report)),
    table(PATH_HEAD, pathRows(report)),
    text(untouchedText(report) ?? ''),
    ...describedRacks(report).flatMap(rackParts),
    ...(kinds.length > 0
      ? [
          '## Defaults',
          text("What isn't told of a stage above is as here."),
          ...kinds.map(({ label, text: words }) => `- ${text(label)}: ${text(words)}`),
        ]
      : []),
    '## The mix in third octaves',
    table(
      ['Band', 'B − A, dB'],
      mix.thirdOctavesHz.map((hz, i) => [hertz(hz), figure(mix.toneDb[i], 2, true)]),
    ),
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
  const off = rack.on ? [] : ['The rack is off.'];
  if (rack.stages.length === 0) return [...head, ...off];
  return [
    ...head,
    ...off,
    `Match ${text(matchText(rack.match))}; added ${text(withUnit(rack.addedPercent, '%', 2))}.`,
    table(['', 'In', 'Out, matched', 'Change', 'Unit'], rackRows(rack)),
    table(['Along the rack', 'Loudness, LUFS', 'True peak, dBTP'], levelRows(rack)),
    ...rack.stages.flatMap(stageParts),
  ];
}

function stageParts(stage: ReportStage, index: number): string[] {
  const rows = setRows(stage);
  return [
    `### ${index + 1}. ${text(stage.label)}${stage.on ? '' : ', off'}`,
    ...notes(stage.notes),
    rows.length === 0 ? 'Every setting is at its default.' : table(['Setting', 'Value', ''], rows),
    text(
      `${stage.toneHz} Hz at the alignment level: THD ${withUnit(stage.thdPercent, '%', 3)}; 1 % THD at ${withUnit(stage.onePercentDbfs, 'dBFS')} after trim in.`,
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
