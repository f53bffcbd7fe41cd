/** `stages` and the help texts, against the one declaration; and the program that npx starts. */
import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import { builtMain, cli, cliAlone, cliJson, newFolder, root, saveWav, tone } from './cli.ts';

interface Listed {
  id: string;
  label: string;
  params: {
    id: string;
    label: string;
    unit: string | null;
    min: number | null;
    max: number | null;
    default: unknown;
    choices?: string[];
  }[];
}

describe('stages', () => {
  const list = cliJson<Listed[]>(['stages']);

  it('lists every kind with every parameter as it is declared', () => {
    expect(list.map(({ id, label }) => [id, label])).toEqual(stageKinds.map(({ id, label }) => [id, label]));
    for (const [index, kind] of stageKinds.entries()) {
      expect(Object.keys(list[index])).toEqual(['id', 'label', 'params']);
      expect(list[index].params).toEqual(
        kind.parameters.map((parameter) =>
          parameter.type === 'choice'
            ? {
                id: parameter.id,
                label: parameter.label,
                unit: null,
                min: null,
                max: null,
                default: parameter.default,
                choices: parameter.choices.map(({ id }) => id),
              }
            : {
                id: parameter.id,
                label: parameter.label,
                unit: parameter.unit,
                min: parameter.min,
                max: parameter.max,
                default: parameter.default,
              },
        ),
      );
    }
  });

  it('lists only settings that `render` takes: all defaults and both ends of every range', () => {
    const input = saveWav(join(newFolder(), 'tone.wav'), { channels: [tone(0.5, -20)], sampleRate: 48000 });
    for (const { id, params } of list) {
      for (const end of ['default', 'min', 'max'] as const) {
        const settings = params.map((param) => `${param.id}=${param[end] ?? param.default}`);
        const { status, stderr } = cli([
          'render',
          '--input',
          input,
          '--stage',
          `${id}:${settings.join(',')}`,
          '--out',
          newFolder(),
        ]);
        expect([status, stderr.replace(/.*has no effect.*\n/g, '').replace(/.*full scale.*\n/g, '')]).toEqual([0, '']);
      }
    }
  });

  it('is the same list for people', () => {
    const { stdout } = cli(['stages']);
    for (const { id, params } of list) {
      expect(stdout).toContain(`${id}: `);
      for (const param of params) expect(stdout).toMatch(new RegExp(`^ {2}${param.id} +${param.default} `, 'm'));
    }
  });
});

describe('help', () => {
  it('of the program names every command, of a command every option', () => {
    const { stdout, status } = cli(['--help']);
    expect(status).toBe(0);
    for (const name of ['measure', 'render', 'stages']) {
      expect(stdout).toContain(`level-best ${name}`);
      const help = cli([name, '--help']);
      expect(help.status).toBe(0);
      expect(help.stdout).toMatch(new RegExp(`^ {2}level-best ${name} `, 'm'));
      expect(help.stdout).toContain('--json');
    }
    const renderHelp = cli(['render', '--help']).stdout;
    for (const option of ['--input', '--stage', '--out', '--oversampling', '--bits', '--alignment']) {
      expect(renderHelp).toMatch(new RegExp(`^ {2}${option} `, 'm'));
    }
  });

  it('of `render` describes every stage parameter from the declaration', () => {
    expect(cli(['render', '--help']).stdout).toContain(cli(['stages']).stdout.trimEnd());
  });

  it('of `measure` names its keys', () => {
    expect(cli(['measure', '--help']).stdout).toContain('integratedLufs, maxShortTermLufs, maxMomentaryLufs, ');
  });

  it('gives its version', () => {
    const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
    expect(cliAlone(['--version']).stdout).toBe(`${version}\n`);
  });
});

describe('bin/level-best.mjs', () => {
  /** A clone with the starter alone, below this project so that packages are found. */
  function clone(): string {
    const folder = join(dirname(builtMain()), 'clone');
    mkdirSync(join(folder, 'bin'), { recursive: true });
    cpSync(join(root, 'bin/level-best.mjs'), join(folder, 'bin/level-best.mjs'));
    return folder;
  }
  const start = (folder: string, ...args: string[]) =>
    spawnSync(process.execPath, [join(folder, 'bin/level-best.mjs'), ...args], { encoding: 'utf8' });

  it('says what to do before it has been built, and starts the program afterwards', () => {
    const folder = clone();
    const before = start(folder, 'stages');
    expect(before.status).toBe(1);
    expect(before.stderr).toMatch(/^level-best: .*run "npm run build" first\.\n$/);
    mkdirSync(join(folder, 'dist/cli'), { recursive: true });
    cpSync(builtMain(), join(folder, 'dist/cli/main.js'));
    const after = start(folder, 'stages', '--json');
    expect(after.status).toBe(0);
    expect(JSON.parse(after.stdout).length).toBe(stageKinds.length);
    expect(start(folder, 'nothing').status).toBe(2);
  });
});
