import type { StackTable } from '../measure/tone-bench/result.ts';
import { figure, signedText, table } from './sheet.ts';

/** What a stack does, stage by stage, and what its two inputs do to each other. */
export function stackSheet({ columns, oneStage, rows, interaction }: StackTable): string {
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
