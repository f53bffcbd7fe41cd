/** `report`: three forms of one model, of two seconds of the demo session. */
import { readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { SessionReport } from '../../src/export/report/report-model.ts';
import { parseSession } from '../../src/session/document.ts';
import { sessionZip } from '../../src/session/session-file.ts';
import { abxPlan, guesser, run, seededRandom } from '../blind/listeners.ts';
import { cli, cliJson, namesIn, newFolder, root } from './cli.ts';

const samples = join(root, 'samples');
const session = parseSession(JSON.parse(readFileSync(join(samples, 'harbour-hall.json'), 'utf8')));
// Two seconds of it are measured instead of all.
session.matchRegion = { startSeconds: 4, endSeconds: 6 };
const folder = newFolder();
const demo = join(folder, 'harbour-hall.json');
symlinkSync(join(samples, 'audio'), join(folder, 'audio'), 'junction');
writeFileSync(demo, JSON.stringify(session));

describe('report', () => {
  it('writes the page, the text and the figures of the demo session', () => {
    const out = newFolder();
    const printed = cliJson<SessionReport>(['report', demo, '--out', out]);
    expect(namesIn(out)).toEqual(['report.html', 'report.json', 'report.md']);
    expect(JSON.parse(readFileSync(join(out, 'report.json'), 'utf8'))).toEqual(printed);
    expect(printed).toMatchObject({ format: 'level-best-report', version: 1 });
    const keys =
      'format, version, program, createdAt, session, statements, sides, mix, racks, scenes, trials, exported';
    expect(Object.keys(printed).join(', ')).toBe(keys);
    expect(cli(['report', '--help']).stdout).toContain(keys);
    const { channels, buses, mix } = session;
    const stages = [...channels, ...buses, mix].flatMap(({ rack }) => rack.stages);
    const html = readFileSync(join(out, 'report.html'), 'utf8');
    for (const { id } of stages) expect(html).toContain(`data-stage="${id}"`);
    expect(html.replace(/<style>[\s\S]*?<\/style>/, '')).not.toMatch(/NaN|undefined|Infinity/);
  });

  it('has the blind trials that the session keeps', async () => {
    const record = run(abxPlan({ type: 'fixed', trials: 16 }), guesser(seededRandom(3)), seededRandom(4));
    const audio = new Map(
      session.channels.flatMap(({ audio: own }) =>
        own ? [[own.sha256, new Uint8Array(readFileSync(join(samples, 'audio', own.file)))] as const] : [],
      ),
    );
    const zip = sessionZip({ ...session, trials: [{ id: 't', record }] }, audio);
    const path = join(folder, 'session.zip');
    writeFileSync(path, new Uint8Array(await new Response(zip).arrayBuffer()));
    const { trials } = cliJson<SessionReport>(['report', path, '--out', join(folder, 'out')]);
    expect(trials).toEqual([
      expect.objectContaining({ kind: 'ABX', programme: record.programme, figures: record.stated }),
    ]);
    expect(readFileSync(join(folder, 'out', 'report.html'), 'utf8')).toContain(trials[0].sentence);
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
