/** Bad input: one sentence that says what to do, exit code 1 (2 for how the command is written), nothing half written. */
import { existsSync, mkdirSync, readFileSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { availableBytes, checkMemory, renderBytes } from '../../src/cli/memory.ts';
import { sine } from '../../src/dsp/tones.ts';
import { writeWav } from '../../src/files/wav.ts';
import { emptySession } from '../../src/session/document.ts';
import { cli, cliAlone, namesIn, newFolder, saveWav, tone } from './cli.ts';

const folder = newFolder();
const file = (name: string) => join(folder, name);
saveWav(file('good.wav'), { channels: [tone(1, -20)], sampleRate: 48000 });
const good = readFileSync(file('good.wav'));

/** A WAV with some bytes of its header changed. */
function broken(name: string, change: (bytes: Buffer) => unknown): string {
  const bytes = Buffer.from(good);
  const changed = change(bytes);
  writeFileSync(file(name), Buffer.isBuffer(changed) ? changed : bytes);
  return file(name);
}

/** A FLAC's first bytes, stating a length: 36 bits of frames from byte 21 on. */
function flacStating(frames: number): Buffer {
  const bytes = Buffer.alloc(64);
  bytes.write('fLaC', 'latin1');
  bytes.set([0x80, 0, 0, 34, 16, 0, 16, 0], 4);
  // 48 kHz in 20 bits, 2 channels, 16 bits a sample.
  bytes.set([0x0b, 0xb8, 0x02, 0xf0 | Math.floor(frames / 2 ** 32)], 18);
  bytes.writeUInt32BE(frames % 2 ** 32, 22);
  return bytes;
}

writeFileSync(file('empty.wav'), '');
writeFileSync(file('words.wav'), 'These are words and no sound.');
writeFileSync(file('long.flac'), flacStating(2 ** 33));
writeFileSync(file('song.ogg'), 'OggS'.padEnd(200, '\0'));
writeFileSync(file('list.json'), '[1, 2');
writeFileSync(file('other.json'), '{"format": "something"}');
// The record of a blind trial, five thousand lists in one another.
const trial = `{"id": "t", "record": {"format": "level-best-trials", "version": 1, "x": ${'['.repeat(5000)}${']'.repeat(5000)}}}`;
writeFileSync(file('deep.json'), JSON.stringify({ ...emptySession(48000), trials: ['HERE'] }).replace('"HERE"', trial));
mkdirSync(file('a-folder'));
// A hole of 3 GB takes no room on the disk.
writeFileSync(file('huge.wav'), good);
truncateSync(file('huge.wav'), 3 * 2 ** 30);
broken('no-channels.wav', (bytes) => bytes.writeUInt16LE(0, 22));
broken('cut.wav', (bytes) => bytes.subarray(0, 20_000));
broken('no-format.wav', (bytes) => bytes.write('JUNK', 12, 'latin1'));
broken('no-data.wav', (bytes) => bytes.subarray(0, 36));
broken('odd-bits.wav', (bytes) => bytes.writeUInt16LE(77, 34));
const eight = Float32Array.from(sine(4800, 48000, 997, 0.1));
writeFileSync(
  file('eight.wav'),
  writeWav({ channels: Array.from({ length: 8 }, () => eight), sampleRate: 48000 }, { bits: 16 }),
);
writeFileSync(file('three.wav'), writeWav({ channels: [eight, eight, eight], sampleRate: 48000 }, { bits: 16 }));
writeFileSync(file('slow.wav'), writeWav({ channels: [eight], sampleRate: 4000 }, { bits: 16 }));
writeFileSync(file('fast.wav'), writeWav({ channels: [eight], sampleRate: 384_000 }, { bits: 16 }));

const FILES: [string, RegExp][] = [
  ['empty.wav', /empty; copy it again/],
  ['words.wav', /none of WAV, FLAC/],
  ['missing.wav', /no such file; check/],
  ['a-folder', /is a folder; name the files/],
  ['no-channels.wav', /0 channels|damaged|doesn't fit/],
  ['cut.wav', /breaks off/],
  ['no-format.wav', /no format; export/],
  ['no-data.wav', /no sound; export/],
  ['odd-bits.wav', /77 bits.*export it again|damaged; export/],
  ['long.flac', /longer than an hour.*split it/],
  ['huge.wav', /longer than 2 GB; split it/],
  ['song.ogg', /reads WAV and FLAC, not OGG; save it/],
];

/** One line, which names the program, starts what it says with a capital or a name, and ends with a full stop. */
function expectSentence(stderr: string): void {
  expect(stderr.endsWith('\n')).toBe(true);
  const lines = stderr.trimEnd().split('\n');
  expect(lines).toHaveLength(1);
  expect(lines[0]).toMatch(/^level-best: .+[.…]$/);
  expect(lines[0]).not.toMatch(/undefined|NaN|\[object|Error:| {4}at /);
}

describe.each(FILES)('the file %s', (name, words) => {
  it('can not be measured', () => {
    const { status, stdout, stderr } = cli(['measure', file(name), '--json']);
    expect([status, stdout]).toEqual([1, '']);
    expectSentence(stderr);
    expect(stderr).toMatch(words);
    expect(stderr).toContain(file(name));
  });

  it('can not be rendered, and nothing is written', () => {
    const out = file(`out-${name}`);
    const { status, stdout, stderr } = cli(['render', '--input', file(name), '--out', out]);
    expect([status, stdout]).toEqual([1, '']);
    expectSentence(stderr);
    expect(stderr).toMatch(words);
    expect(existsSync(out)).toBe(false);
  });
});

const render = (...args: string[]) => ['render', '--input', file('good.wav'), ...args];
const out = file('never');

describe('wrong values end with 1', () => {
  it.each<[string[], RegExp]>([
    [['render', file('deep.json'), '--out', out], /deep\.json: The session is damaged: .* too deep/],
    [['report', file('deep.json'), '--out', out], /deep\.json: The session is damaged: .* too deep/],
    [['trials', file('deep.json')], /deep\.json: The session is damaged: .* too deep/],
    [['bench', '--session', file('deep.json'), '--rack', 'mix'], /deep\.json: The session is damaged: .* too deep/],
    [['compare', file('deep.json'), file('good.wav')], /deep\.json: The session is damaged: .* too deep/],
    [['measure', file('eight.wav')], /8 channels, and loudness is measured of up to 6/],
    [['measure', file('slow.wav')], /can't be measured at 4000 Hz; export it at 8 kHz/],
    [['measure', file('good.wav'), file('missing.wav')], /missing\.wav: There is no such file/],
    [['render', '--input', file('three.wav'), '--out', out], /3 channels, and "render" takes mono and stereo/],
    [['render', '--input', file('slow.wav'), '--out', out], /4000 Hz, and "render" takes 8 to 192 kHz/],
    [['render', '--input', file('fast.wav'), '--out', out], /384000 Hz, and "render" takes 8 to 192 kHz/],
    [
      render('--out', out, '--stage', 'soft-clip:drive=24.1'),
      /drive must be a number from -24 to 24 dB; it was 24\.1\./,
    ],
    [
      render('--out', out, '--stage', 'soft-clip:drive=loud'),
      /drive must be a number from -24 to 24 dB; it was loud\./,
    ],
    [render('--out', out, '--stage', 'soft-clip:drive='), /drive has no value; write drive=0/],
    [render('--out', out, '--stage', 'soft-clip:drive=Infinity'), /it was Infinity\./],
    [
      render('--out', out, '--stage', 'soft-clip:curve=sine'),
      /curve must be one of tanh, arctangent, cubic, algebraic; it was sine\./,
    ],
    [render('--out', out, '--stage', 'soft-clip:toString=1'), /no parameter "toString"; it has trimIn, /],
    [
      render('--out', out, '--stage', 'soft-clip', '--stage', 'constructor'),
      /no stage kind "constructor"; choose one of soft-clip, /,
    ],
    [
      render('--out', out, ...Array.from({ length: 9 }, () => ['--stage', 'soft-clip']).flat()),
      /at most 8 stages; leave out 1\./,
    ],
    [render('--out', out, '--bits', '20'), /--bits must be 16, 24 or float; it was 20\./],
    [render('--out', out, '--oversampling', '2'), /--oversampling must be 4 or 8; it was 2\./],
    [render('--out', out, '--alignment', '-50'), /--alignment must be a number from -30 to -6 dBFS; it was -50\./],
    [render('--out', out, '--alignment', 'loud'), /--alignment must be a number/],
    [render('--out', file('good.wav')), /is a file and not a folder; choose another/],
    [render('--out', join(file('good.wav'), 'below')), /is a file and not a folder; choose another/],
    [render('--out', '/proc/level-best/out'), /can not be made there; choose another/],
    [['render', file('list.json'), '--out', out], /is not JSON; name a session/],
    [['render', file('other.json'), '--out', out], /not a Level Best session\. Open/],
    [['render', file('missing.json'), '--out', out], /no such file; check/],
  ])('%s', (args, words) => {
    const { status, stdout, stderr } = cli(args);
    expect([status, stdout]).toEqual([1, '']);
    expectSentence(stderr);
    expect(stderr).toMatch(words);
    expect(existsSync(out)).toBe(false);
  });
});

describe('a command that can not be understood ends with 2', () => {
  it.each<[string[], RegExp]>([
    [['listen'], /no command "listen"; choose one of measure, render, /],
    [['measure'], /Name the files to measure/],
    [['measure', '--loud', file('good.wav')], /no option --loud; "measure" takes --json\./],
    [['stages', 'soft-clip'], /takes no names; leave out "soft-clip"\./],
    [['render', '--out', out], /Say what to render/],
    [['render', '--input', file('good.wav')], /Say where the files go: --out DIR\./],
    [render('--out'), /--out needs a value; write --out DIR\./],
    [render('--out', out, '--stage', 'soft-clip:drive'), /"drive" is not a setting; write soft-clip:parameter=value/],
    [render('--out', out, '--stage', 'soft-clip:'), /"" is not a setting/],
    [render('--out', out, '--no-dither'), /no option --dither; "render" takes --input, /],
    [
      ['render', file('other.json'), '--input', file('good.wav'), '--out', out],
      /either --input FILE or a session, not both/,
    ],
    [['render', file('other.json'), '--stage', 'soft-clip', '--out', out], /racks of its own; leave out --stage/],
    [['render', file('other.json'), file('list.json'), '--out', out], /one session at a time/],
  ])('%s', (args, words) => {
    const { status, stdout, stderr } = cli(args);
    expect([status, stdout]).toEqual([2, '']);
    expectSentence(stderr);
    expect(stderr).toMatch(words);
    expect(existsSync(out)).toBe(false);
  });

  it('nothing at all: says what there is', () => {
    const { status, stderr } = cliAlone([]);
    expect(status).toBe(2);
    for (const name of ['measure', 'render', 'stages']) expect(stderr).toContain(`level-best ${name}`);
  });
});

describe('what was there before', () => {
  it('stays when a render fails', () => {
    const before = newFolder();
    for (const name of ['clean.wav', 'coloured.wav', 'report.json']) writeFileSync(join(before, name), `old ${name}`);
    // A folder in the place of the report, which can't be overwritten.
    const blocked = newFolder();
    mkdirSync(join(blocked, 'report.json'));
    expect(cli(render('--out', before, '--stage', 'soft-clip:drive=99')).status).toBe(1);
    expect(namesIn(before).map((name) => readFileSync(join(before, name), 'utf8'))).toEqual([
      'old clean.wav',
      'old coloured.wav',
      'old report.json',
    ]);
    const { status, stderr } = cliAlone(render('--out', blocked));
    expect(status).toBe(1);
    expectSentence(stderr);
    expect(stderr).toMatch(/report\.json is a folder, where a file is to be written/);
    expect(namesIn(blocked)).toEqual(['report.json']);
  });
});

describe('more than the memory holds', () => {
  it('is refused before it is begun', () => {
    const hour = renderBytes(3600 * 48_000, 2, 0);
    expect(() => checkMemory('concert.wav', hour, 16 * 2 ** 30)).not.toThrow();
    expect(() => checkMemory('concert.wav', hour, 8 * 2 ** 30)).toThrow(
      /^concert\.wav: Rendering it takes 9\.0 GB of memory, and this machine has 8\.0; split it into shorter parts\.$/,
    );
    expect(availableBytes()).toBeGreaterThan(2 ** 28);
    expect(availableBytes()).toBeLessThan(2 ** 50);
  });
});
