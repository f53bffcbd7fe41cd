/** `measure`: its keys, its formats, and its figures against closed forms and ffmpeg. */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { FileFigures } from '../../src/cli/file-figures.ts';
import { seededRandom } from '../../src/dsp/random.ts';
import { writeFlac } from '../../src/files/flac.ts';
import { ebur128, findFfmpeg } from '../support/oracle-ffmpeg.ts';
import { cli, cliAlone, cliJson, newFolder, saveWav, tone } from './cli.ts';

/** The promise to scripts; a change here is a new major version. */
const KEYS = [
  'integratedLufs',
  'maxShortTermLufs',
  'maxMomentaryLufs',
  'loudnessRangeLu',
  'truePeakDbtp',
  'samplePeakDbfs',
  'rmsDbfs',
  'crestDb',
  'plrDb',
  'dcDbfs',
  'sampleRate',
  'channels',
  'seconds',
];
const folder = newFolder();
const file = (name: string) => join(folder, name);
const stereo = (plane: Float32Array, sampleRate = 48000) => ({ channels: [plane, plane], sampleRate });

describe('measure', () => {
  it('prints exactly the documented keys, in their order', () => {
    saveWav(file('tone.wav'), stereo(tone(5, -23)));
    const { stdout, stderr, status } = cliAlone(['measure', file('tone.wav'), '--json']);
    expect([status, stderr]).toEqual([0, '']);
    expect(Object.keys(JSON.parse(stdout))).toEqual(KEYS);
  });

  // BS.1770-5, Annex 1: 997 Hz at −23 dBFS on both channels is −23 LUFS. AES17: its RMS is −23 dBFS. A sine's crest
  // factor is 3.01 dB; its true peak is its peak.
  it('measures a tone as the standards say', () => {
    saveWav(file('tone.wav'), stereo(tone(5, -23)), { bits: 'float' });
    const figures = cliJson<FileFigures>(['measure', file('tone.wav')]);
    expect(figures.integratedLufs).toBeCloseTo(-23, 1);
    expect(figures.maxMomentaryLufs).toBeCloseTo(-23, 1);
    expect(figures.rmsDbfs).toBeCloseTo(-23, 2);
    expect(figures.crestDb).toBeCloseTo(3.0103, 2);
    expect(figures.samplePeakDbfs).toBeCloseTo(-23, 2);
    expect(figures.truePeakDbtp).toBeCloseTo(-23, 1);
    expect(figures).toMatchObject({ sampleRate: 48000, channels: 2, seconds: 5 });
  });

  it('finds a DC offset at its own level', () => {
    const plane = tone(2, -30).map((x) => x + 0.01);
    saveWav(file('dc.wav'), { channels: [plane], sampleRate: 48000 }, { bits: 'float' });
    expect(cliJson<FileFigures>(['measure', file('dc.wav')]).dcDbfs).toBeCloseTo(-40, 1);
  });

  it('gives null for what is not defined', () => {
    saveWav(file('silence.wav'), stereo(new Float32Array(48000)));
    const silence = cliJson<Record<string, unknown>>(['measure', file('silence.wav')]);
    for (const key of KEYS.slice(0, 10)) expect(silence[key], key).toBeNull();
    saveWav(file('short.wav'), stereo(tone(0.2, -20)));
    const short = cliJson<FileFigures>(['measure', file('short.wav')]);
    expect([short.integratedLufs, short.maxShortTermLufs, short.loudnessRangeLu, short.plrDb]).toEqual([
      null,
      null,
      null,
      null,
    ]);
    expect(short.samplePeakDbfs).toBeCloseTo(-20, 1);
    expect(cli(['measure', file('short.wav')]).stdout).toContain('–');
  });

  it('says of a short file that the loudness range is not meant for it', () => {
    saveWav(file('four.wav'), stereo(tone(4, -20)));
    expect(cliJson<FileFigures>(['measure', file('four.wav')]).loudnessRangeLu).toBeCloseTo(0, 2);
    expect(cli(['measure', file('four.wav')]).stdout).toMatch(/range +0\.0 +LU \(shorter than a minute, which/);
  });

  it('reads 16, 24 and float WAV and FLAC alike', async () => {
    const audio = stereo(tone(3, -12, 441));
    const quiet = (seed: number) => seededRandom(seed);
    saveWav(file('16.wav'), audio, { bits: 16, dither: quiet(1) });
    saveWav(file('24.wav'), audio, { bits: 24 });
    saveWav(file('float.wav'), audio, { bits: 'float' });
    writeFileSync(file('24.flac'), await writeFlac(audio, { bits: 24 }));
    const all = cliJson<FileFigures[]>(['measure', ...['16.wav', '24.wav', 'float.wav', '24.flac'].map(file)]);
    expect(all).toHaveLength(4);
    for (const figures of all) expect(figures.integratedLufs).toBeCloseTo(all[2].integratedLufs ?? 0, 3);
    expect(all[3]).toEqual(all[1]);
  });

  it('gives several files as a list in their order, each with the same keys', () => {
    saveWav(file('a.wav'), stereo(tone(1, -20)));
    saveWav(file('b.wav'), stereo(tone(1, -40)));
    const list = cliJson<FileFigures[]>(['measure', file('a.wav'), file('b.wav')]);
    expect(list.map((one) => Object.keys(one))).toEqual([KEYS, KEYS]);
    expect((list[0].integratedLufs ?? 0) - (list[1].integratedLufs ?? 0)).toBeCloseTo(20, 1);
  });

  it('counts mono as played on both sides', () => {
    const plane = tone(3, -20);
    saveWav(file('mono.wav'), { channels: [plane], sampleRate: 48000 });
    saveWav(file('stereo.wav'), stereo(plane));
    const [mono, both] = cliJson<FileFigures[]>(['measure', file('mono.wav'), file('stereo.wav')]);
    expect(mono.integratedLufs).toBeCloseTo(both.integratedLufs ?? 0, 6);
    expect([mono.channels, both.channels]).toEqual([1, 2]);
  });

  it('weighs channels by the loudspeakers that the file names', () => {
    const silence = new Float32Array(3 * 48000);
    const loudnessOf = (channelMask: number, at: number, count: number) => {
      const channels = Array.from({ length: count }, (_, i) => (i === at ? tone(3, -20) : silence));
      const path = saveWav(file(`mask-${channelMask}-${at}.wav`), { channels, sampleRate: 48000, channelMask });
      return cliJson<FileFigures>(['measure', path]).integratedLufs;
    };
    const left = loudnessOf(0x3f, 0, 6) ?? 0;
    // 5.1 with the back pair: LFE is left out, a surround weighs 1.41 (BS.1770-5, Table 3).
    expect(loudnessOf(0x3f, 3, 6)).toBeNull();
    expect((loudnessOf(0x3f, 4, 6) ?? 0) - left).toBeCloseTo(10 * Math.log10(1.41), 3);
    // L R Ls Rs by the side pair; L R C LFE: the fourth is no surround here.
    expect((loudnessOf(0x603, 3, 4) ?? 0) - left).toBeCloseTo(10 * Math.log10(1.41), 3);
    expect(loudnessOf(0xf, 3, 4)).toBeNull();
    // With a side pair as well, the back pair stands behind and weighs 1.
    expect((loudnessOf(0x633, 2, 6) ?? 0) - left).toBeCloseTo(0, 3);
  });

  it.skipIf(findFfmpeg() === null)('agrees with ffmpeg on six channels', () => {
    const channels = [-20, -26, -23, -6, -30, -18].map((dbfs, i) => tone(6, dbfs, 300 * (i + 1)));
    const path = saveWav(file('surround.wav'), { channels, sampleRate: 48000, channelMask: 0x3f });
    const ours = cliJson<FileFigures>(['measure', path]).integratedLufs ?? 0;
    const theirs = ebur128(path).integratedLufs;
    console.log(`5.1: ${ours.toFixed(3)} LUFS, ffmpeg ${theirs.toFixed(3)}`);
    expect(Math.abs(ours - theirs)).toBeLessThan(0.1);
  });

  it('warns of samples that are no numbers and counts them as 0', () => {
    const plane = tone(1, -20);
    const path = saveWav(file('nan.wav'), { channels: [plane], sampleRate: 48000 }, { bits: 'float' });
    const bytes = readFileSync(path);
    bytes.writeFloatLE(Number.NaN, bytes.length - 400);
    writeFileSync(path, bytes);
    const { status, stderr, stdout } = cli(['measure', path, '--json']);
    expect(status).toBe(0);
    expect(stderr).toMatch(/nan\.wav: 1 sample was not a finite number and counts as 0\.$/m);
    expect(Object.keys(JSON.parse(stdout))).toEqual(KEYS);
  });

  it('prints a sheet for people', () => {
    saveWav(file('sheet.wav'), { channels: [tone(3, -23)], sampleRate: 44100 });
    const { stdout } = cli(['measure', file('sheet.wav')]);
    expect(stdout).toMatch(/^sheet\.wav\n {2}44\.1 kHz, mono, /);
    expect(stdout).toMatch(/Loudness, integrated +−23\.\d LUFS/);
    const figures = stdout.split('\n').filter((line) => /LUFS|LU|dB/.test(line));
    // Units stand under each other.
    expect(new Set(figures.map((line) => line.search(/ (LUFS|LU|dBTP|dBFS|dB)( \(.*)?$/))).size).toBe(1);
  });
});
