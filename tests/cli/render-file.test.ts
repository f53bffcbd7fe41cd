/** `render --input`: what is written, how long it is, where it lies in time, and what it measures. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { FileFigures } from '../../src/cli/file-figures.ts';
import type { Report } from '../../src/cli/render-report.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { alike } from '../support/alike.ts';
import { ebur128, findFfmpeg } from '../support/oracle-ffmpeg.ts';
import { realRecording, recordingNames } from '../support/real-recordings.ts';
import { cli, cliAlone, cliJson, loadWav, namesIn, newFolder, saveWav, tone } from './cli.ts';

const FILES = ['clean.wav', 'coloured.wav', 'report.json'];
const SIDE_KEYS = [
  'file',
  'overs',
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
const noise = (length: number, sigma: number, seed: number) => {
  const random = seededRandom(seed);
  return Float32Array.from({ length }, () => sigma * gaussian(random));
};
const stereoNoise = (length: number) => [noise(length, 0.06, 1), noise(length, 0.06, 2)];

/** Renders into a folder of its own. */
function render(input: string, ...options: string[]) {
  const out = newFolder();
  const report = cliJson<Report>(['render', '--input', input, '--out', out, ...options]);
  return { out, report, clean: loadWav(join(out, 'clean.wav')), coloured: loadWav(join(out, 'coloured.wav')) };
}

describe('render --input', () => {
  const length = 50_003;
  const input = saveWav(file('noise.wav'), { channels: stereoNoise(length), sampleRate: 48000 });

  it('writes three files of the documented contents and leaves nothing else', () => {
    const { out, report, clean, coloured } = render(
      input,
      '--stage',
      'soft-clip:drive=9,bias=30',
      '--stage',
      'harmonic-set',
    );
    expect(namesIn(out)).toEqual(FILES);
    expect(JSON.parse(readFileSync(join(out, 'report.json'), 'utf8'))).toEqual(report);
    expect(
      [clean, coloured].map(({ channels, sampleRate, bits }) => [
        channels.length,
        channels[0].length,
        sampleRate,
        bits,
      ]),
    ).toEqual([
      [2, length, 48000, 24],
      [2, length, 48000, 24],
    ]);
    expect(Object.keys(report)).toEqual([
      'program',
      'input',
      'sampleRate',
      'channels',
      'frames',
      'seconds',
      'bits',
      'oversampling',
      'alignmentDbfs',
      'latencySamples',
      'matching',
      'matchSource',
      'matchRegion',
      'matchGainDb',
      'residualLu',
      'matchTrimDb',
      'matched',
      'headroomDb',
      'spreadLowLu',
      'spreadHighLu',
      'addedPercent',
      'clean',
      'coloured',
      'racks',
      'warnings',
      'format',
      'tailFrames',
      'stems',
    ]);
    expect(Object.keys(report.clean)).toEqual(SIDE_KEYS);
    expect(Object.keys(report.coloured)).toEqual(SIDE_KEYS);
    expect(report).toMatchObject({
      input,
      frames: length,
      bits: 24,
      oversampling: 4,
      alignmentDbfs: -18,
      latencySamples: 195,
      matching: true,
      matchSource: 'computed',
      matchTrimDb: 0,
      matched: true,
      headroomDb: 0,
      warnings: [],
    });
    expect(report.racks.map(({ place, stages }) => [place, ...stages.map(({ kind }) => kind)])).toEqual([
      ['channel', 'soft-clip', 'harmonic-set'],
      ['mix'],
    ]);
    // Defaults are written out beside what was set.
    expect(report.racks[0].stages[0].params).toMatchObject({
      drive: 9,
      bias: 30,
      curve: 'tanh',
      trimIn: 0,
      coupling: 'ac',
    });
  });

  it('reports what `measure` finds in the files', () => {
    const { out, report } = render(input, '--stage', 'soft-clip:drive=9', '--bits', '16');
    const [clean, coloured] = cliJson<FileFigures[]>(['measure', join(out, 'clean.wav'), join(out, 'coloured.wav')]);
    expect(report.clean).toEqual({ file: 'clean.wav', overs: 0, ...clean });
    expect(report.coloured).toEqual({ file: 'coloured.wav', overs: 0, ...coloured });
    expect(report.residualLu).toBeCloseTo((coloured.integratedLufs ?? 0) - (clean.integratedLufs ?? 0), 9);
    expect(Math.abs(report.residualLu ?? 1)).toBeLessThan(0.001);
  });

  it('passes a 24-bit recording through an empty rack bit for bit, on both sides', () => {
    const { clean, coloured, report } = render(input);
    const source = loadWav(input);
    expect(alike(clean.channels, source.channels)).toBe(true);
    expect(alike(coloured.channels, source.channels)).toBe(true);
    expect(report.matchGainDb).toBe(0);
    expect(report.racks[0].stages).toEqual([]);
  });

  it('keeps float samples exactly, over full scale too, and says that they lie over it', () => {
    const plane = tone(1, 3);
    const loud = saveWav(file('loud.wav'), { channels: [plane], sampleRate: 48000 }, { bits: 'float' });
    // As it was written before it was called float; scripts may still say so.
    const { clean, report } = render(loud, '--bits', '32f');
    expect(alike(clean.channels, [plane])).toBe(true);
    expect(report.clean.overs).toBe(plane.filter((x) => Math.abs(x) > 1).length);
    expect(report.warnings[0]).toMatch(/^clean\.wav: \d+ samples lie above full scale, and they are kept as they are/);
    // What is float already has nothing to gain from being float.
    expect(report.warnings.join()).not.toContain('--bits float');
    expect(report.headroomDb).toBe(0);
  });

  it('lowers both together where one would pass full scale in whole numbers, and says so', () => {
    const loud = saveWav(file('loud.wav'), { channels: [tone(1, 3)], sampleRate: 48000 }, { bits: 'float' });
    const out = newFolder();
    const { status, stderr, stdout } = cli(['render', '--input', loud, '--stage', 'soft-clip', '--out', out]);
    const report = JSON.parse(readFileSync(join(out, 'report.json'), 'utf8')) as Report;
    expect(status).toBe(0);
    expect([report.clean.overs, report.coloured.overs, report.matched]).toEqual([0, 0, true]);
    // A sine of +3 dBFS down to −1 dBTP, the coloured one beside it: its match raises it no further.
    expect(report.headroomDb).toBeLessThanOrEqual(-4);
    expect(report.headroomDb).toBeGreaterThan(-4.5);
    expect(Math.abs(report.residualLu ?? 1)).toBeLessThan(0.01);
    expect(Math.max(report.clean.truePeakDbtp ?? 0, report.coloured.truePeakDbtp ?? 0)).toBeLessThan(-1);
    expect(stderr).toContain(`Both mixes are written ${-report.headroomDb.toFixed(1)} dB lower than they come, alike`);
    expect(stdout).toContain(`both lowered by ${-report.headroomDb.toFixed(1)} dB`);
  });

  it('says what is wrong where a recording with DC makes the match impossible, and ends with 3 where files are not matched', () => {
    // The hard clip parks the DC at its edge and leaves little of the sound, so the match takes tens of dB.
    const parked = noise(96_000, 0.05, 4).map((x, i) => 0.3 + x * (0.5 + 0.5 * Math.sin(i / 6000)));
    const input = saveWav(file('dc.wav'), { channels: [parked], sampleRate: 48000 }, { bits: 'float' });
    const stage = ['--stage', 'soft-clip:curve=algebraic,knee=100,drive=18,bias=60'];
    const [lowered, limited] = [newFolder(), newFolder()];
    const first = cli(['render', '--input', input, ...stage, '--out', lowered]);
    const second = cli(['render', '--input', input, ...stage, '--out', limited, '--overs', 'limit']);
    const [good, bad] = [lowered, limited].map(
      (out) => JSON.parse(readFileSync(join(out, 'report.json'), 'utf8')) as Report,
    );
    expect([first.status, good.matched]).toEqual([0, true]);
    expect(good.headroomDb).toBeLessThan(-6);
    expect(good.warnings.join()).toContain('The recording has DC of −10.');
    expect([second.status, bad.matched, bad.headroomDb]).toEqual([3, false, 0]);
    expect(Math.abs(bad.residualLu ?? 0)).toBeGreaterThan(0.1);
    expect(second.stderr).toMatch(/Not matched: coloured is off by −\d+\.\d\d LU/);
    expect(second.stdout).toContain('NOT MATCHED');
  });

  it('limits overs in whole-number files where it is told to, counts them and warns on standard error', () => {
    const loud = saveWav(file('loud.wav'), { channels: [tone(1, 3)], sampleRate: 48000 }, { bits: 'float' });
    const out = newFolder();
    const { status, stderr, stdout } = cli(['render', '--input', loud, '--out', out, '--overs', 'limit']);
    expect(status).toBe(0);
    expect(stderr).toMatch(/^clean\.wav: \d+ samples lie above full scale, and they were limited; .*\n/);
    expect(stdout).not.toContain('limited');
    const report = JSON.parse(readFileSync(join(out, 'report.json'), 'utf8')) as Report;
    expect(report.clean.overs).toBeGreaterThan(1000);
    expect(report.warnings).toHaveLength(2);
    expect(Math.max(...loadWav(join(out, 'clean.wav')).channels[0])).toBeLessThanOrEqual(1);
  });

  it('keeps mono mono', () => {
    const mono = saveWav(file('mono.wav'), { channels: [noise(50_000, 0.1, 3)], sampleRate: 44100 });
    const { clean, coloured, report } = render(mono, '--stage', 'diode-pair:drive=6');
    expect([clean.channels.length, coloured.channels.length, report.channels]).toEqual([1, 1, 1]);
    expect([clean.sampleRate, coloured.sampleRate]).toEqual([44100, 44100]);
    expect(alike(clean.channels, loadWav(mono).channels)).toBe(true);
  });

  it.each([8000, 44100, 96000, 192000])('renders at the file’s own rate: %s Hz', (sampleRate) => {
    const path = saveWav(file(`rate-${sampleRate}.wav`), { channels: [noise(sampleRate / 2, 0.1, 4)], sampleRate });
    const { clean, coloured, report } = render(path, '--stage', 'soft-clip:drive=6');
    expect([clean.sampleRate, coloured.sampleRate, report.sampleRate]).toEqual([sampleRate, sampleRate, sampleRate]);
    expect(alike(clean.channels, loadWav(path).channels)).toBe(true);
    expect(Math.abs(report.residualLu ?? 1)).toBeLessThan(0.001);
  });

  it.each(['4', '8'])('keeps both sides aligned to the sample at %sx', (factor) => {
    const { clean, coloured, report } = render(
      input,
      '--stage',
      'soft-clip:drive=3,bias=40',
      '--stage',
      'diode-pair',
      '--oversampling',
      factor,
    );
    expect(report.oversampling).toBe(Number(factor));
    const at = (lag: number) => {
      let sum = 0;
      for (let i = 1000; i < 49_000; i++) sum += clean.channels[0][i] * coloured.channels[0][i + lag];
      return sum;
    };
    const lags = [-3, -2, -1, 0, 1, 2, 3];
    const correlations = lags.map(at);
    expect(lags[correlations.indexOf(Math.max(...correlations))]).toBe(0);
    // Parabola through the three middle lags: the peak lies within a hundredth of a sample of 0.
    const [before, middle, after] = [correlations[2], correlations[3], correlations[4]];
    expect(Math.abs((0.5 * (before - after)) / (before - 2 * middle + after))).toBeLessThan(0.01);
  });

  it('is the same at every run', () => {
    const first = render(input, '--stage', 'soft-clip:drive=9', '--bits', '16');
    const out = newFolder();
    const args = ['render', '--input', input, '--stage', 'soft-clip:drive=9', '--bits', '16', '--out', out];
    expect(cliAlone(args)).toMatchObject({ status: 0, stderr: '' });
    for (const name of FILES)
      expect(readFileSync(join(first.out, name)).equals(readFileSync(join(out, name)))).toBe(true);
  });

  // Lipshitz, Wannamaker, Vanderkooy (JAES 40(5), 1992, from memory): with triangular dither the total error has mean 0
  // and variance LSB²/4, whatever the signal.
  it('dithers 16 bit: a tone below one step survives, with the error of triangular dither', () => {
    const lsb = 2 ** -15;
    const quiet = Float32Array.from(tone(4, 0), (x) => 0.4 * lsb * x);
    const path = saveWav(file('quiet.wav'), { channels: [quiet], sampleRate: 48000 }, { bits: 'float' });
    const { clean } = render(path, '--bits', '16');
    const error = clean.channels[0].map((x, i) => (x - quiet[i]) / lsb);
    const mean = error.reduce((sum, e) => sum + e, 0) / error.length;
    const variance = error.reduce((sum, e) => sum + e * e, 0) / error.length;
    expect(Math.abs(mean)).toBeLessThan(0.01);
    expect(variance).toBeCloseTo(0.25, 2);
    const gain =
      clean.channels[0].reduce((sum, x, i) => sum + x * quiet[i], 0) / quiet.reduce((sum, x) => sum + x * x, 0);
    expect(gain).toBeCloseTo(1, 1);
  });

  it('keeps the broadcast extension, adds a line of history and states the new loudness', () => {
    const bext = {
      description: 'Harbour Hall, take 3',
      originator: 'Level Best tests',
      timeReference: 172_800_000,
      codingHistory: 'A=PCM,F=48000,W=24,M=mono,T=take\r\n',
      loudness: { integrated: -99, truePeak: -99 },
    };
    const path = saveWav(file('bext.wav'), { channels: [noise(96_000, 0.05, 5)], sampleRate: 48000, bext });
    const { clean, coloured, report } = render(path, '--stage', 'soft-clip:drive=6');
    for (const [side, figures] of [
      [clean, report.clean],
      [coloured, report.coloured],
    ] as const) {
      expect(side.bext).toMatchObject({
        description: bext.description,
        originator: bext.originator,
        timeReference: bext.timeReference,
      });
      expect(side.bext?.codingHistory).toMatch(
        /^A=PCM,F=48000,W=24,M=mono,T=take\r\nA=PCM,F=48000,W=24,M=mono,T=Level Best [\d.]+; 4x; mix; (Clean|Coloured)\r\n$/,
      );
      expect(side.bext?.loudness?.integrated).toBeCloseTo(figures.integratedLufs ?? 0, 2);
      expect(side.bext?.loudness?.truePeak).toBeCloseTo(figures.truePeakDbtp ?? 0, 2);
    }
    const plain = loadWav(join(render(input).out, 'clean.wav')).bext;
    expect(plain).toMatchObject({ originator: 'Level Best', date: '', description: 'noise.wav: Clean' });
    expect(plain?.codingHistory).toMatch(/^A=PCM,F=48000,W=24,M=stereo,T=Level Best [^\r]+\r\n$/);
  });

  it('moves the operating level with --alignment: the same drive does more at a lower one', () => {
    const added = (dbfs: string) => render(input, '--stage', 'soft-clip', '--alignment', dbfs).report.addedPercent ?? 0;
    expect(added('-24')).toBeGreaterThan(1.5 * added('-18'));
  });

  it('says when there is nothing to match', () => {
    const silent = saveWav(file('silent.wav'), { channels: [new Float32Array(48000)], sampleRate: 48000 });
    const { report } = render(silent, '--stage', 'soft-clip');
    expect([report.matchGainDb, report.residualLu]).toEqual([null, null]);
    expect(report.warnings[0]).toMatch(/nothing to match/);
  });

  it('says which settings have no effect', () => {
    const { report } = render(input, '--stage', 'soft-clip:knee=9');
    expect(report.warnings).toEqual(['"noise.wav": soft-clip: knee has no effect without curve=algebraic.']);
  });

  it('prints a sheet with both sides for people', () => {
    const out = newFolder();
    const four = saveWav(file('four seconds.wav'), { channels: stereoNoise(4 * 48000), sampleRate: 48000 });
    const { stdout } = cli(['render', '--input', four, '--stage', 'soft-clip:drive=6', '--out', out]);
    expect(stdout).toMatch(/Clean +Coloured/);
    expect(stdout).toMatch(/Matched by [−+]\d+\.\d\d dB to within 0\.00 LU; short-term/);
    expect(stdout).toContain(join(out, 'coloured.wav'));
  });

  it('makes the folder where there is none', () => {
    const out = join(newFolder(), 'deep', 'down');
    expect(cli(['render', '--input', input, '--out', out]).status).toBe(0);
    expect(existsSync(join(out, 'report.json'))).toBe(true);
  });
});

describe.skipIf(findFfmpeg() === null || recordingNames().length === 0)('a real recording', () => {
  it.each(recordingNames().slice(0, 4))('%s: ffmpeg reads both files and finds at most 0.1 LU between them', (name) => {
    const { planes, sampleRate } = realRecording(name);
    const channels = planes.map((plane) => plane.subarray(0, 3 * sampleRate));
    const path = saveWav(file('real.wav'), { channels, sampleRate });
    const { out, report } = render(
      path,
      '--stage',
      'soft-clip:drive=12,bias=50',
      '--stage',
      'diode-pair:drive=6,trimIn=3',
    );
    const [clean, coloured] = [ebur128(join(out, 'clean.wav')), ebur128(join(out, 'coloured.wav'))];
    const difference = coloured.integratedLufs - clean.integratedLufs;
    console.log(`${name}: ${difference.toFixed(3)} LU by ffmpeg, ${report.residualLu?.toExponential(0)} by the report`);
    expect(Math.abs(difference)).toBeLessThanOrEqual(0.1);
    expect(Math.abs(clean.integratedLufs - (report.clean.integratedLufs ?? 0))).toBeLessThan(0.1);
  });
});
