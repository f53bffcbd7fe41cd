import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { toJson } from '../../src/listening/trial-csv.ts';
import { cli, cliJson, newFolder } from '../cli/cli.ts';
import { abxListener, abxPlan, drivePlan, guesser, run, seededRandom } from './listeners.ts';

const random = seededRandom(77);
const ABX = run(abxPlan({ type: 'fixed', trials: 16 }), abxListener(0.9, random), random);
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

  it.each([
    ['text.json', 'hello', 1, /not JSON/],
    ['other.json', '{"format":"level-best-session"}', 1, /not a record of trials/],
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
