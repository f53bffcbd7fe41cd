/** `render SESSION.json`: sounds found and checked, gains stored or computed, the same engine as in the tests of the core. */
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Report } from '../../src/cli/render-report.ts';
import { resample } from '../../src/dsp/resample.ts';
import { writeFlac } from '../../src/files/flac.ts';
import { writeWav } from '../../src/files/wav.ts';
import { withMatches } from '../../src/measure/document-match.ts';
import { SessionAnalysis } from '../../src/measure/session-analysis.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { renderSession } from '../../src/render/session-render.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { findRack, rackIds } from '../../src/session/document.ts';
import { bursts, smallSession, stageOf } from '../measure/sessions.ts';
import { alike } from '../support/alike.ts';
import { ebur128, findFfmpeg } from '../support/oracle-ffmpeg.ts';
import { cli, cliJson, loadWav, newFolder, root, saveWav } from './cli.ts';

const SHAPES = {
  melodica: { rate: 48000, sides: 1, seconds: 3.2 },
  accordion: { rate: 44100, sides: 2, seconds: 3 },
  'frame drum': { rate: 48000, sides: 1, seconds: 2.7 },
} as const;

/** Sounds of the small session as planes at 48 kHz and as bytes of a file, made once. */
const sounds = Promise.all(
  Object.entries(SHAPES).map(async ([id, { rate, sides, seconds }], index) => {
    const channels = Array.from({ length: sides }, (_, side) =>
      bursts(Math.round(seconds * rate), rate, 1, 10 * index + side).map((x) => Math.round(x * 2 ** 23) / 2 ** 23),
    );
    const audio = { channels, sampleRate: rate };
    const bytes = index === 0 ? await writeFlac(audio, { bits: 24 }) : writeWav(audio, { bits: 24 });
    return { id, channels, rate, bytes, atRate: channels.map((plane) => resample(plane, rate, 48000)) };
  }),
);

/** The small session with its sounds on disk: a FLAC and a WAV beside it, one WAV in its folder "audio". */
async function saveSession(change: (document: SessionDocument) => void = () => {}) {
  const folder = newFolder();
  mkdirSync(join(folder, 'audio'));
  const document = smallSession();
  const sources = new Map<string, Float32Array[]>();
  for (const [index, { id, channels, rate, bytes, atRate }] of (await sounds).entries()) {
    const file = index === 0 ? `${id}.flac` : `${id}.wav`;
    const path = join(folder, index === 2 ? 'audio' : '.', file);
    writeFileSync(path, bytes);
    const sha256 = createHash('sha256').update(readFileSync(path)).digest('hex');
    const channel = document.channels.find((one) => one.id === id);
    if (channel)
      channel.audio = { file, sha256, sampleRate: rate, channelCount: channels.length, frames: channels[0].length };
    sources.set(id, atRate);
  }
  change(document);
  const path = join(folder, 'harbour-hall.json');
  writeFileSync(path, JSON.stringify(document));
  return { folder, path, document, sources };
}

function analyse(document: SessionDocument, sources: Map<string, Float32Array[]>): SessionDocument {
  const analysis = new SessionAnalysis(document.sampleRate, document.alignmentDbfs);
  for (const [id, planes] of sources) analysis.setSource(id, planes);
  const result = runToEnd(analysis.analyse(document));
  if (!result) throw new Error('nothing to analyse');
  return withMatches(document, result);
}

describe('render SESSION.json', () => {
  it('writes what the engine renders with the gains of the analysis, sample for sample', async () => {
    const { path, document, sources } = await saveSession();
    const out = newFolder();
    const report = cliJson<Report>(['render', path, '--out', out, '--bits', 'float']);
    const matched = analyse(document, sources);
    const expected = runToEnd(renderSession(matched, sources, { factor: 4 }));
    for (const side of ['clean', 'coloured'] as const) {
      const { channels } = loadWav(join(out, `${side}.wav`));
      const heard = channels.map((plane) => plane.slice(0, expected[side][0].length));
      expect(alike(heard, expected[side])).toBe(true);
    }
    // Without what rings on, the files are no longer than the longest sound.
    expect(report.tailFrames).toBeGreaterThan(0);
    const short = cliJson<Report>(['render', path, '--out', newFolder(), '--tail', 'off']);
    expect([short.tailFrames, short.frames]).toEqual([0, Math.round(3.2 * 48000)]);
    expect(report).toMatchObject({
      matchSource: 'computed',
      sampleRate: 48000,
      channels: 2,
      frames: Math.round(3.2 * 48000) + report.tailFrames,
      latencySamples: 195,
    });
    for (const [i, id] of rackIds(document).entries()) {
      expect(report.racks[i]).toMatchObject({ id, matchGainDb: findRack(matched, id)?.matchGainDb, matchTrimDb: 0 });
      expect(Math.abs(report.racks[i].residualLu ?? 1)).toBeLessThan(0.001);
    }
    expect(report.matchGainDb).toBe(matched.mix.outputMatchDb);
    expect(Math.abs(report.residualLu ?? 1)).toBeLessThan(0.001);
  });

  it.skipIf(findFfmpeg() === null)('is matched to 0.1 LU by ffmpeg, at 8x from the session too', async () => {
    const { path } = await saveSession((document) => {
      document.exportOversampling = 8;
      document.mix.rack.stages.push(stageOf('diode-pair', { drive: 9, trimIn: 4 }));
    });
    const out = newFolder();
    // The match is over the session's own length; in three seconds a tail would weigh.
    const report = cliJson<Report>(['render', path, '--out', out, '--tail', 'off']);
    expect(report.oversampling).toBe(8);
    const difference =
      ebur128(join(out, 'coloured.wav')).integratedLufs - ebur128(join(out, 'clean.wav')).integratedLufs;
    console.log(`session of three channels, a bus and the mix: ${difference.toFixed(3)} LU by ffmpeg`);
    expect(Math.abs(difference)).toBeLessThanOrEqual(0.1);
  });

  it('uses the gains that the session stores, as they were heard', async () => {
    const { path, document } = await saveSession((draft) => {
      for (const id of rackIds(draft)) Object.assign(findRack(draft, id) ?? {}, { matchGainDb: -1.5 });
      draft.mix.outputMatchDb = 2.5;
    });
    const { status, stdout } = cli(['render', path, '--out', newFolder(), '--json']);
    const report = JSON.parse(stdout) as Report;
    expect([status, report.matched]).toEqual([3, false]);
    expect(report.matchSource).toBe('stored');
    expect(report.racks.map(({ matchGainDb }) => matchGainDb)).toEqual(rackIds(document).map(() => -1.5));
    expect(report.matchGainDb).toBe(2.5);
    // Such gains don't match, and the report says by how much.
    expect(Math.abs(report.residualLu ?? 0)).toBeGreaterThan(0.1);
    // Another operating level makes them void.
    expect(cliJson<Report>(['render', path, '--out', newFolder(), '--alignment', '-20']).matchSource).toBe('computed');
  });

  it('renders levels as they come where matching is off', async () => {
    const { path } = await saveSession((draft) => {
      draft.matching = false;
    });
    const report = cliJson<Report>(['render', path, '--out', newFolder()]);
    expect([report.matching, report.matchGainDb]).toEqual([false, null]);
    expect(Math.abs(report.residualLu ?? 0)).toBeGreaterThan(0.2);
  });

  it('matches over the session’s region', async () => {
    const { path } = await saveSession((draft) => {
      draft.matchRegion = { startSeconds: 1, endSeconds: 2.5 };
    });
    const report = cliJson<Report>(['render', path, '--out', newFolder()]);
    expect(report.matchRegion).toEqual({ startSeconds: 1, endSeconds: 2.5 });
    // The analysis starts its filters at the region, the render at the beginning.
    expect(Math.abs(report.residualLu ?? 1)).toBeLessThan(0.01);
  });

  it('says of a channel without sound that it stays silent', async () => {
    const { path } = await saveSession((draft) => {
      draft.channels[2].audio = null;
    });
    const { status, stderr } = cli(['render', path, '--out', newFolder()]);
    expect(status).toBe(0);
    expect(stderr).toBe('Channel "frame drum" has no sound and stays silent.\n');
  });

  it.each<[string, (draft: SessionDocument, folder: string) => void, RegExp]>([
    [
      'a missing sound',
      (draft) => Object.assign(draft.channels[0].audio ?? {}, { file: 'gone.wav' }),
      /Channel "melodica": .* are missing; put "gone\.wav" beside/,
    ],
    [
      'another recording of that name',
      (draft) => Object.assign(draft.channels[1].audio ?? {}, { sha256: '0'.repeat(64) }),
      /accordion\.wav: It is not the recording that channel "accordion" had/,
    ],
    [
      'a sound outside its folder',
      (draft) => Object.assign(draft.channels[0].audio ?? {}, { file: '../../../etc/passwd' }),
      /put "passwd" beside the session/,
    ],
    [
      'a kind from another version',
      (draft) => Object.assign(draft.mix.rack.stages[0], { kind: 'flux-capacitor' }),
      /The mix: There is no stage kind "flux-capacitor"; choose one of/,
    ],
    [
      'a parameter beyond its range',
      (draft) => Object.assign(draft.buses[0].rack.stages[0].params, { drive: 80 }),
      /Bus "Reeds": soft-clip: drive must be a number from -24 to 24 dB; it was 80\./,
    ],
    [
      'a parameter that is not declared',
      (draft) => Object.assign(draft.channels[0].rack.stages[0].params, { warmth: 1 }),
      /Channel "melodica": soft-clip has no parameter "warmth"/,
    ],
    [
      'a lost bus',
      (draft) => Object.assign(draft.channels[0], { busId: 'nowhere' }),
      /plays into a bus that isn't in the session/,
    ],
    [
      'no channel with a sound',
      (draft) =>
        draft.channels.forEach((channel) => {
          channel.audio = null;
        }),
      /None of its channels has a sound/,
    ],
  ])('refuses %s with one sentence and writes nothing', async (_, change, sentence) => {
    const { path, folder } = await saveSession((draft) => change(draft, ''));
    const out = join(folder, 'out');
    const { status, stderr, stdout } = cli(['render', path, '--out', out]);
    expect([status, stdout]).toEqual([1, '']);
    expect(stderr).toMatch(sentence);
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
    expect(() => readFileSync(join(out, 'report.json'))).toThrow();
    expect(() => renameSync(out, `${out}-there`)).toThrow();
  });

  it('refuses to write over the sound it reads', async () => {
    const { path, folder, document } = await saveSession();
    const [{ audio }] = document.channels;
    const clean = join(folder, 'clean.wav');
    saveWav(clean, { channels: [new Float32Array(48000).fill(0.1)], sampleRate: 48000 });
    const before = readFileSync(clean);
    Object.assign(audio ?? {}, { file: 'clean.wav', sha256: createHash('sha256').update(before).digest('hex') });
    writeFileSync(path, JSON.stringify(document));
    const { status, stderr } = cli(['render', path, '--out', folder]);
    expect(status).toBe(1);
    expect(stderr).toMatch(/clean\.wav is being read and would be overwritten; choose another folder/);
    expect(readFileSync(clean).equals(before)).toBe(true);
  });
});

describe('the demo session', () => {
  const demo = join(root, 'samples', 'harbour-hall.json');

  it.skipIf(findFfmpeg() === null)('renders as it comes, matched to 0.1 LU by ffmpeg', () => {
    const out = newFolder();
    const report = cliJson<Report>(['render', demo, '--out', out]);
    expect(report).toMatchObject({ sampleRate: 48000, channels: 2, warnings: [] });
    // As long as its slowest stages ring, and no longer than a second.
    expect(report.tailFrames).toBeGreaterThan(0.2 * 48000);
    expect(report.tailFrames).toBeLessThan(48000);
    expect(report.seconds).toBeCloseTo(24 + report.tailFrames / 48000, 6);
    expect(report.racks.map(({ place }) => place)).toEqual([...Array(6).fill('channel'), 'bus', 'bus', 'mix']);
    const difference =
      ebur128(join(out, 'coloured.wav')).integratedLufs - ebur128(join(out, 'clean.wav')).integratedLufs;
    console.log(`Harbour Hall: ${difference.toFixed(3)} LU by ffmpeg, gains ${report.matchSource}`);
    expect(Math.abs(difference)).toBeLessThanOrEqual(0.1);
  });
});
