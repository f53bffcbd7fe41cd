/** `level-best bench` as it is run: keys, figures, sheets, and sentences for what can't be done. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { emptyRack, emptySession, newBus, newStage } from '../../src/session/document.ts';
import { cli, newFolder } from './cli.ts';

const folder = newFolder();
const run = (...args: string[]) => cli(['bench', ...args]);

function json(...args: string[]) {
  const { status, stdout, stderr } = run(...args, '--json');
  expect(stderr).toBe('');
  expect(status).toBe(0);
  expect(stdout).not.toMatch(/NaN|Infinity/);
  return JSON.parse(stdout);
}

/** The promised keys, in their order. */
const KEYS = [
  'test',
  'fundamentalDbfs',
  'harmonics',
  'thdFPercent',
  'thdRPercent',
  'thdNPercent',
  'evenDbc',
  'oddDbc',
  'dcDbfs',
  'aliasDbc',
  'dm2Percent',
  'dm3Percent',
  'dd2Percent',
  'dd3Percent',
  'products',
];
const OFF = 'h2=-100,h3=-100';

describe('--json', () => {
  it('a tone: the promised keys, and 1 % THD_F at the operating level and 0 dB drive', () => {
    const result = json('--stage', 'soft-clip');
    expect(Object.keys(result).slice(0, KEYS.length)).toEqual(KEYS);
    expect(result.test).toBe('tone');
    // The definition of 0 dB drive.
    expect(result.thdFPercent).toBeCloseTo(1, 3);
    expect(result.harmonics.map(({ n }: { n: number }) => n)).toEqual(Array.from({ length: 19 }, (_, i) => i + 2));
    expect(Object.keys(result.harmonics[0])).toEqual(['n', 'dbc', 'phaseDeg']);
    expect([result.dm2Percent, result.dm3Percent, result.dd2Percent, result.dd3Percent]).toEqual([
      null,
      null,
      null,
      null,
    ]);
    expect(result.products).toEqual([]);
    expect(result.points).toBeUndefined();
    expect(result.sampleRate).toBe(48_000);
  });

  it('x + 0.05x²: d_m2 8.0000 % and d_d2 1.2500 % (docs/reference-values.md, section 4)', () => {
    const stage = `harmonic-set:h2=${20 * Math.log10(0.025)},h3=-100`;
    const smpte = json('--stage', stage, '--test', 'smpte', '--ratio', '4:1');
    expect(smpte.dm2Percent).toBeCloseTo(8, 3);
    expect(smpte.dd2Percent).toBeNull();
    expect(smpte.harmonics).toEqual([]);
    const difference = json('--stage', stage, '--test', 'difference', '--oversampling', '8');
    expect(difference.dd2Percent).toBeCloseTo(1.25, 3);
    expect(Object.keys(difference.products[0])).toEqual(['label', 'hz', 'dbc', 'order']);
    expect(difference.products[0]).toMatchObject({ label: 'f2 − f1', order: 2 });
    expect(difference.oversampling).toBe(8);
  });

  it('stages in order, a frequency, a level, a rate', () => {
    const result = json(
      ...['--stage', `harmonic-set:${OFF},h4=-60`, '--stage', 'soft-clip:trimIn=6,blend=0'],
      ...['--frequency', '441', '--level', '-18', '--rate', '44100'],
    );
    expect(result.sampleRate).toBe(44_100);
    expect(Math.abs(result.tones[0].hz - 441)).toBeLessThan(1.4);
    expect(result.harmonics[2].dbc).toBeCloseTo(-60, 2);
    expect(result.gainDb).toBeCloseTo(6, 2);
  });

  it('sweeps have points with the same figures', () => {
    const sweep = json('--stage', 'soft-clip', '--test', 'level-sweep', '--from', '-24', '--to', '-18', '--step', '6');
    expect(sweep.points).toHaveLength(2);
    expect(sweep.points[1].thdFPercent).toBeCloseTo(1, 3);
    expect(sweep.thdFPercent).toBeNull();
    const tones = json('--test', 'frequency-sweep', '--lowest', '1000', '--highest', '4000', '--points', '1');
    expect(tones.points.map(({ hz }: { hz: number }) => Math.round(hz / 1000))).toEqual([1, 2, 4]);
  });

  it('floor and stack', () => {
    expect(json('--stage', 'soft-clip', '--test', 'floor').floor).toMatchObject({ silenceDcDbfs: null });
    const { stack } = json('--stage', 'harmonic-set', '--stage', 'soft-clip', '--test', 'stack');
    expect(stack.columns.map(({ kind }: { kind: string }) => kind)).toEqual([
      'harmonic-set',
      'soft-clip',
      'harmonic-set',
    ]);
    expect(stack.interaction.lines.length).toBeGreaterThan(3);
  });

  it('a rack of a session, as it is set', () => {
    const session = emptySession(96_000);
    session.alignmentDbfs = -20;
    const stages = [newStage('s', 'soft-clip', { drive: 0 })];
    session.buses.push(newBus('reeds', 'Reeds', { rack: { ...emptyRack(), stages, matchGainDb: -1.5 } }));
    const path = join(folder, 'session.json');
    writeFileSync(path, JSON.stringify(session));
    const result = json('--session', path, '--rack', 'reeds', '--level', '-20');
    expect(result.sampleRate).toBe(96_000);
    expect(result.thdFPercent).toBeCloseTo(1, 3);
    expect(result.matchDb).toBeCloseTo(-1.5, 6);
    const lost = run('--session', path, '--rack', 'strings');
    expect(lost.status).toBe(1);
    expect(lost.stderr).toMatch(/no rack "strings"; it has reeds \(Reeds\), mix\./);
    expect(run('--session', path).stderr).toMatch(/Say which rack.*reeds \(Reeds\), mix/);
  });
});

describe('the sheet', () => {
  it('shows the tone as it was put in, the figures and the harmonics', () => {
    const { stdout, status } = run('--stage', 'harmonic-set');
    expect(status).toBe(0);
    expect(stdout).toMatch(/^Tone at 48 kHz, over-sampled 4 times\nRack: harmonic-set\n/);
    expect(stdout).toMatch(/In: 997\.6 Hz at −18\.00 dBFS/);
    expect(stdout).toMatch(/THD_F +1\.00\d\d +%/);
    // sin² = (1 − cos 2θ)/2: −90° in sine phases.
    expect(stdout).toMatch(/H2 +−43\.00 +−(89|90)\.\d/);
    expect(stdout).not.toMatch(/null|NaN|undefined|-\d/);
  });

  it.each(['level-sweep', 'frequency-sweep', 'smpte', 'difference', 'floor', 'stack'])('of %s has no holes', (test) => {
    const { stdout, status } = run('--stage', 'soft-clip:bias=30', '--test', test);
    expect(status).toBe(0);
    expect(stdout).not.toMatch(/null|NaN|undefined|Infinity/);
    expect(stdout.split('\n').length).toBeGreaterThan(8);
  });

  it('the help says that nothing is played, and lists every test', () => {
    const { stdout } = run('--help');
    expect(stdout).toMatch(/nothing of them is played/);
    for (const word of ['level-sweep', '--frequency', '--ratio', 'thdNPercent', '−100 to 12 dBFS']) {
      expect(stdout).toContain(word);
    }
  });
});

describe('what can’t be done is told in a sentence', () => {
  const cases: [string[], number, RegExp][] = [
    [['--frequency', '30000'], 1, /frequency must lie below half the sample rate \(24000 Hz\)/],
    [['--level', '20'], 1, /level must be a number from −100 to 12 dBFS; it was 20/],
    [['--level', 'loud'], 2, /--level must be a number; it was "loud"/],
    [['--f1', '60'], 2, /--f1 has no effect in the test "tone", which takes --frequency, --level/],
    [['--test', 'smpte', '--ratio', '4:0'], 1, /ratio must be a number from 0\.01 to 100/],
    [['--test', 'noise'], 2, /--test must be one of tone, level-sweep/],
    [['--stage', 'valve'], 1, /no stage kind "valve"/],
    [['--rack', 'mix'], 2, /add --session/],
    [['--session', 'a.json', '--stage', 'soft-clip'], 2, /leave out --stage/],
    [['--session', join(folder, 'none.json'), '--rack', 'mix'], 1, /none\.json/],
    [['--oversampling', '2'], 1, /Over-sampling must be 4 or 8/],
    [['--rate', '4000'], 1, /sample rate must lie between 8000 and 192000/],
    [['--test', 'stack'], 1, /no stage that is switched on/],
    [['--loud'], 2, /no option --loud/],
    [['tone'], 2, /leave out "tone"/],
  ];
  it.each(cases)('%j', (args, status, sentence) => {
    const result = run(...args);
    expect(result.stderr).toMatch(sentence);
    expect(result.stderr.trim().split('\n')).toHaveLength(1);
    expect(result.stdout).toBe('');
    expect(result.status).toBe(status);
  });
});
