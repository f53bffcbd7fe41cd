import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { toJson } from '../../src/blind/trial-csv.ts';
import { trialSummaries } from '../../src/blind/trial-summary.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession } from '../../src/session/document.ts';
import { sessionZip } from '../../src/session/session-file.ts';
import { cli, cliJson, newFolder } from '../cli/cli.ts';
import { abxListener, abxPlan, drivePlan, guesser, run, seededRandom } from './listeners.ts';

const random = seededRandom(77);
const ABX = run(abxPlan({ type: 'fixed', trials: 16 }), abxListener(0.9, random), random);
const DRIVE = run(drivePlan(), guesser(random), random);
const KEEPING: SessionDocument = {
  ...emptySession(48000, 'Harbour Hall'),
  trials: [DRIVE, ABX].map((record, i) => ({ id: `t${i}`, record })),
};
const folder = newFolder();

function saved(name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}

describe('level-best trials', () => {
  it('gives every figure of the record again, as JSON and for people', () => {
    const path = saved('abx.json', toJson(ABX));
    const json = cliJson<{ figures: Record<string, unknown>; disagreeing: string[]; sentence: string }>([
      'trials',
      path,
    ]);
    expect(json.figures).toEqual(ABX.stated);
    expect(json.disagreeing).toEqual([]);
    const { status, stdout, stderr } = cli(['trials', path]);
    expect(status).toBe(0);
    expect(stderr).toBe('');
    expect(stdout).toContain(json.sentence);
    expect(stdout).toContain('Harbour Hall sextet');
    expect(stdout).toMatch(/^ {2}correct +\d+$/m);
  });

  it('reads a drive search and prints its trials as a table', () => {
    const path = saved('drive.json', toJson(run(drivePlan(), guesser(random), random)));
    const { status, stdout } = cli(['trials', path, '--csv']);
    expect(status).toBe(0);
    expect(stdout.trimEnd().split(/\r?\n/)).toHaveLength(28);
    expect(cli(['trials', path]).stdout).toMatch(/preference/i);
  });

  it('says what was changed, and ends with 1', () => {
    const changed = { ...ABX, stated: { ...ABX.stated, correct: 3 } };
    const { status, stderr } = cli(['trials', saved('changed.json', JSON.stringify(changed))]);
    expect(status).toBe(1);
    expect(stderr).toMatch(/states other figures than its answers give: correct \(\d+\)/);
  });

  it('gives every trial that a session keeps, and one of them alone', () => {
    const path = saved('keeping.json', JSON.stringify(KEEPING));
    const all = cliJson<{ kind: string; figures: unknown }[]>(['trials', path]);
    expect(all.map(({ kind, figures }) => [kind, figures])).toEqual([
      ['drive-search', DRIVE.stated],
      ['abx', ABX.stated],
    ]);
    expect(cli(['trials', path]).stdout).toMatch(/^trial 1: drive-search[\s\S]*^trial 2: abx/m);
    expect(cliJson<unknown[]>(['trials', path, '--number', '2'])).toEqual([all[1]]);
    expect(cli(['trials', path, '--number', '2', '--csv']).stdout).toBe(
      cli(['trials', saved('two.json', toJson(ABX)), '--csv']).stdout,
    );
    expect(cli(['trials', path, '--csv']).stderr).toMatch(/keeps 2 trials; choose one of them with --number/);
    expect(cli(['trials', path, '--number', '3']).stderr).toMatch(/--number must be 1 to 2; it was 3/);
  });

  it('reads a session that was packed with its sound', async () => {
    const zip = new Uint8Array(await new Response(sessionZip(KEEPING, new Map())).arrayBuffer());
    const path = join(folder, 'keeping.zip');
    writeFileSync(path, zip);
    expect(cliJson<{ kind: string }[]>(['trials', path]).map(({ kind }) => kind)).toEqual(['drive-search', 'abx']);
  });

  it('finds a trial of a session that was changed', () => {
    const [drive, abx] = KEEPING.trials;
    const changed = { ...abx, record: { ...ABX, stated: { ...ABX.stated, correct: 3 } } };
    const path = saved('forged.json', JSON.stringify({ ...KEEPING, trials: [drive, changed] }));
    const { status, stderr } = cli(['trials', path]);
    expect([status, stderr]).toEqual([1, expect.stringMatching(/forged\.json, trial 2: It states other figures/)]);
  });

  it('are summed up for the report, each with its figures or the reason why there are none', () => {
    const [drive, abx] = trialSummaries(KEEPING.trials);
    expect(drive).toMatchObject({ kind: 'Drive search', figures: DRIVE.stated, programme: DRIVE.programme });
    expect(abx).toMatchObject({ kind: 'ABX', figures: ABX.stated, startedAt: ABX.startedAt });
    expect(trialSummaries([{ record: { ...ABX, version: 9 } }])[0].sentence).toMatch(/version 9, newer/);
  });

  it.each([
    ['text.json', 'hello', 1, /not JSON/],
    ['other.json', '{"format":"level-best-report"}', 1, /not a record of trials/],
    ['session.json', JSON.stringify(emptySession(48000)), 1, /This session keeps no blind trials/],
    ['broken.json', JSON.stringify({ ...KEEPING, trials: 3 }), 1, /damaged at "trials"/],
    ['newer.json', JSON.stringify({ ...ABX, version: 9 }), 1, /version 9, newer/],
    ['damaged.json', JSON.stringify({ ...ABX, trials: 'all right' }), 1, /damaged at "trials"/],
  ])('%s: one clear sentence', (name, text, code, sentence) => {
    const { status, stdout, stderr } = cli(['trials', saved(name, text)]);
    expect(status).toBe(code);
    expect(stdout).toBe('');
    expect(stderr).toMatch(sentence);
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
  });

  it('a missing file, none, and two ways at once', () => {
    expect(cli(['trials', join(folder, 'nowhere.json')]).status).toBe(1);
    expect(cli(['trials']).status).toBe(2);
    expect(cli(['trials', 'a.json', '--json', '--csv']).stderr).toMatch(/exclude each other/);
  });
});
