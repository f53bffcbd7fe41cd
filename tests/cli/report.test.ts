/** `report`: three forms of one model, of the demo session as it comes. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { SessionReport } from '../../src/analysis/export/report/report-model.ts';
import { parseSession } from '../../src/session/document.ts';
import { cli, cliJson, namesIn, newFolder, root } from './cli.ts';

const demo = join(root, 'samples', 'harbour-hall.json');

describe('report', () => {
  it('writes the page, the text and the figures of the demo session', () => {
    const out = newFolder();
    const printed = cliJson<SessionReport>(['report', demo, '--out', out]);
    expect(namesIn(out)).toEqual(['report.html', 'report.json', 'report.md']);
    expect(JSON.parse(readFileSync(join(out, 'report.json'), 'utf8'))).toEqual(printed);
    expect(printed).toMatchObject({ format: 'level-best-report', version: 1 });
    const keys = 'format, version, program, createdAt, session, statements, sides, mix, racks, scenes, trials';
    expect(Object.keys(printed).join(', ')).toBe(keys);
    expect(cli(['report', '--help']).stdout).toContain(keys);
    const { channels, buses, mix } = parseSession(JSON.parse(readFileSync(demo, 'utf8')));
    const stages = [...channels, ...buses, mix].flatMap(({ rack }) => rack.stages);
    const html = readFileSync(join(out, 'report.html'), 'utf8');
    for (const { id } of stages) expect(html).toContain(`data-stage="${id}"`);
    expect(html.replace(/<style>[\s\S]*?<\/style>/, '')).not.toMatch(/NaN|undefined|Infinity/);
  });

  it('writes one form alone', () => {
    const out = newFolder();
    const { status, stdout } = cli(['report', demo, '--out', out, '--format', 'md']);
    expect([status, stdout]).toEqual([0, `Written: ${join(out, 'report.md')}\n`]);
    expect(namesIn(out)).toEqual(['report.md']);
  });

  it.each<[string[], number, RegExp]>([
    [[demo], 2, /Say where the report goes/],
    [['--out', 'x'], 2, /Name one session/],
    [[demo, '--out', 'x', '--format', 'pdf'], 1, /--format must be html, md, json or all; it was pdf/],
    [['gone.json', '--out', 'x'], 1, /gone\.json: There is no such file/],
  ])('%j ends with a sentence', (args, code, sentence) => {
    const { status, stderr } = cli(['report', ...args]);
    expect([status, stderr]).toEqual([code, expect.stringMatching(sentence)]);
  });
});
