/** `compare`: two files, and a session with the engineer's own mixdown. */
import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { bursts, smallSession } from '../measure/sessions.ts';
import { cli, cliJson, loadWav, newFolder, saveWav } from './cli.ts';

const KEYS = [
  'sampleRate',
  'framesA',
  'framesB',
  'bandHz',
  'related',
  'overlapFrames',
  'outside',
  'delaySamples',
  'delayWholeSamples',
  'delayFractionSamples',
  'delaySeconds',
  'polarity',
  'channelMatch',
  'balanceDb',
  'correlation',
  'gainDb',
  'gainLu',
  'identical',
  'residualDb',
  'plrChangeDb',
  'truePeakChangeDb',
  'bands',
  'a',
  'b',
];
const folder = newFolder();
const plane = bursts(3 * 48000, 48000, 0.7, 5);
const later = new Float32Array(3 * 48000 + 250);
for (let i = 0; i < plane.length; i++) later[i + 250] = -0.5 * plane[i];
const one = saveWav(join(folder, 'one.wav'), { channels: [plane], sampleRate: 48000 }, { bits: 'float' });
const other = saveWav(join(folder, 'other.wav'), { channels: [later, later], sampleRate: 48000 }, { bits: 'float' });

describe('compare A B', () => {
  it('prints exactly the documented keys, in their order, and the figures of two known files', () => {
    const found = cliJson<Record<string, unknown>>(['compare', one, other]);
    expect(Object.keys(found)).toEqual(KEYS);
    expect(found).toMatchObject({ delaySamples: 250, polarity: 'inverted', identical: true, residualDb: null });
    expect(found.gainDb).toBeCloseTo(-6.0206, 4);
    expect(found.gainLu).toBeCloseTo(-6.0206, 2);
    const [band] = found.bands as Record<string, unknown>[];
    expect(Object.keys(band)).toEqual(['hz', 'differenceDb', 'residualDb']);
    expect(cli(['compare', '--help']).stdout).toContain(KEYS.join(', '));
  });

  it('prints a sheet for people', () => {
    const { stdout, status } = cli(['compare', one, other]);
    expect(status).toBe(0);
    expect(stdout).toMatch(/^other\.wav against one\.wav/);
    expect(stdout).toMatch(/Delay +\+250 +samples, \+5\.208 ms/);
    expect(stdout).toMatch(/Gain +−6\.021 +dB/);
    expect(stdout).toMatch(/Left over +nothing/);
    expect(stdout).not.toMatch(/NaN|undefined|Infinity|null/);
  });

  it('brings B to the rate of A and says so', () => {
    const slow = saveWav(join(folder, 'slow.wav'), { channels: [bursts(44100, 44100, 0.5, 1)], sampleRate: 44100 });
    expect(cli(['compare', one, slow]).stderr).toMatch(/slow\.wav: It was brought from 44100 to 48000 Hz/);
  });

  it('ends with 2 for too few names, with 1 for what can not be read', () => {
    expect(cli(['compare', one]).status).toBe(2);
    expect(cli(['compare', one, join(folder, 'gone.wav')]).status).toBe(1);
  });
});

describe('compare SESSION MIXDOWN', () => {
  it('says whether the session stands as it left the host', () => {
    const document = smallSession();
    for (const [index, channel] of document.channels.entries()) {
      const channels = [bursts(plane.length, 48000, 0.3, 20 + index)];
      const path = saveWav(join(folder, `${channel.id}.wav`), { channels, sampleRate: 48000 });
      const sha256 = createHash('sha256').update(readFileSync(path)).digest('hex');
      channel.audio = { file: `${channel.id}.wav`, sha256, sampleRate: 48000, channelCount: 1, frames: plane.length };
    }
    const session = join(folder, 'session.json');
    writeFileSync(session, JSON.stringify(document));
    const out = join(folder, 'out');
    cliJson(['render', session, '--out', out, '--tail', 'off', '--bits', 'float']);
    const found = cliJson<Record<string, unknown>>(['compare', session, join(out, 'clean.wav')]);
    expect(Object.keys(found)).toEqual(['verdict', 'sentences', 'stems', 'clipped', 'bits', 'unexplainedDb', ...KEYS]);
    expect(found.verdict).toBe('stands');
    // The same mix a quarter of a second later.
    const { channels } = loadWav(join(out, 'clean.wav'));
    const moved = channels.map((side) =>
      Float32Array.from({ length: side.length + 12_000 }, (_, i) => side[i - 12_000] ?? 0),
    );
    const mixdown = saveWav(join(folder, 'mixdown.wav'), { channels: moved, sampleRate: 48000 }, { bits: 'float' });
    const { stdout, status } = cli(['compare', session, mixdown]);
    expect(status).toBe(0);
    expect(stdout).toContain('Your mixdown is 12000 samples (250.00 ms) later than the session.');
    // Cut short: another outcome, and an exit code that a script can see.
    const cut = channels.map((side) => side.slice(0, 2 * 48_000));
    const short = saveWav(join(folder, 'short.wav'), { channels: cut, sampleRate: 48000 }, { bits: 16 });
    const told = cli(['compare', session, short]);
    expect(told.status).toBe(1);
    expect(told.stdout).toMatch(/Your mixdown ends \d\.\d\d s early/);
    // The first channel 2 dB down.
    const [one, ...others] = document.channels;
    const lower = { ...document, channels: [{ ...one, gainDb: one.gainDb - 2 }, ...others] };
    const other = join(folder, 'lower.json');
    writeFileSync(other, JSON.stringify(lower));
    const answer = cli(['compare', other, join(out, 'clean.wav'), '--json']);
    expect(answer.status).toBe(1);
    const named = JSON.parse(answer.stdout) as { verdict: string; stems: unknown[] };
    expect(named.verdict).toBe('stems');
    expect(named.stems).toMatchObject([{ name: one.name, differences: ['high'], delaySamples: 0 }]);
  });
});
