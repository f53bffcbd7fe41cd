/** What is exported is what was heard, and stems are what goes into a bus. */
import { describe, expect, it } from 'vitest';
import { exportSides } from '../../src/export/export-document.ts';
import { DISTRIBUTION } from '../../src/export/export-plan.ts';
import { exportPieces, fileBytes, fileSize, measuredFiles } from '../../src/export/export-stream.ts';
import type { PlannedFile } from '../../src/export/planned-files.ts';
import { runExport } from '../../src/export/run-export.ts';
import { AudioFileError } from '../../src/files/audio-file-error.ts';
import { emptySession, newBus } from '../../src/session/document.ts';
import { channelOf, rackOf, smallSession, smallSources, stageOf } from '../measure/sessions.ts';
import { ebur128, findFfmpeg } from '../support/oracle-ffmpeg.ts';
import { realRecordingAt, recordingNames } from '../support/real-recordings.ts';
import type { SoundSession } from './export-rig.ts';
import { demoSession, differenceDb, heard, matched, planOf, sounds, twelveChannels, written } from './export-rig.ts';

const small = (): SoundSession => ({ document: smallSession(), sources: smallSources(1) });

/** Prints of a session's channels summed in the engine's order, single precision at every step, less the bus's input. */
describe.each<[string, () => SoundSession | Promise<SoundSession>, 4 | 8]>([
  ['the demo session at 4x', () => demoSession(2), 4],
  ['twelve channels of three stages at 4x', () => twelveChannels(2, 16_000), 4],
  ['twelve channels of three stages at 8x', () => twelveChannels(2, 16_000), 8],
])('%s', (name, make, factor) => {
  it('is what the engine puts out, on both sides', async () => {
    const session = await make();
    const plan = planOf(session, { factor });
    const files = sounds(await written(plan));
    const { clean, coloured } = heard(session, factor, plan.frames);
    const apart = [differenceDb(files.get('clean.wav')!, clean), differenceDb(files.get('coloured.wav')!, coloured)];
    console.log(`${name}: clean ${apart[0]} dBFS, coloured ${apart[1]} dBFS from the engine`);
    expect(Math.max(...apart)).toBeLessThan(-140);
    // And it is no silence that agrees.
    expect(coloured[0].some((x) => Math.abs(x) > 0.01)).toBe(true);
    expect(differenceDb(clean, coloured)).toBeGreaterThan(-60);
  });

  it('has stems that sum to what goes into their bus', async () => {
    const session = await make();
    const files = sounds(await written(planOf(session, { factor, fader: 'after' })));
    // A bus without rack and gain gives out what goes into it.
    const open = { ...session.document.buses[0].rack, stages: [] };
    const through = {
      ...session,
      document: {
        ...session.document,
        buses: session.document.buses.map((bus) => ({ ...bus, gainDb: 0, rack: open })),
      },
    };
    const inputs = sounds(await written(planOf(through, { factor, pair: false })));
    for (const { id, name: busName } of session.document.buses) {
      const sum = [0, 1].map(() => new Float32Array(files.get('clean.wav')![0].length));
      let members = 0;
      for (const { busId, name: channel, audio } of session.document.channels) {
        if (busId !== id) continue;
        members++;
        const stem = files.get(`channels after fader/${audio?.file.replace(/\.flac$/, '') ?? channel}.wav`)!;
        sum.forEach((plane, side) => {
          for (let i = 0; i < plane.length; i++) plane[i] += stem[side][i];
        });
      }
      expect(members).toBeGreaterThan(1);
      expect(differenceDb(sum, padded(inputs.get(`buses before fader/${busName}.wav`)!, sum[0].length))).toBeLessThan(
        -120,
      );
    }
  });
});

/** Both exports have tails of their own. */
function padded(planes: Float32Array[], length: number): Float32Array[] {
  return planes.map((plane) => {
    const out = new Float32Array(length);
    out.set(plane.subarray(0, length));
    return out;
  });
}

describe('lengths and places', () => {
  it('an impulse through every path arrives in the same sample of every file', async () => {
    const at = 1234;
    const click = Float32Array.from({ length: 4000 }, (_, i) => (i === at ? 0.25 : 0));
    const stage = () => stageOf('soft-clip', { drive: 3, bias: 20 });
    const session: SoundSession = {
      document: {
        ...emptySession(48000),
        channels: [
          channelOf('staged', { busId: 'staged', rack: rackOf(stage(), stageOf('diode-pair')) }),
          channelOf('bare', { busId: 'bare' }),
          channelOf('direct', { rack: rackOf(stage()) }),
        ],
        buses: [newBus('staged', 'Staged', { rack: rackOf(stage()) }), newBus('bare', 'Bare')],
        mix: { rack: rackOf(stage()), outputMatchDb: null },
      },
      sources: new Map(['staged', 'bare', 'direct'].map((id) => [id, [click]])),
    };
    const files = sounds(await written(planOf(session)));
    expect(files.size).toBe(2 + 3 + 2);
    for (const [name, planes] of files) {
      for (const plane of planes) {
        const peak = plane.reduce((best, x, i) => (Math.abs(x) > Math.abs(plane[best]) ? i : best), 0);
        expect([name, peak]).toEqual([name, at]);
      }
    }
  });

  it('every file is as long as the longest source and its tail, and ends in silence', async () => {
    const session = small();
    // Full level up to the very end, so that something rings on.
    for (const planes of session.sources.values())
      for (const plane of planes) plane.set(plane.slice(0, 2000), plane.length - 2000);
    const plan = planOf(session);
    expect(plan.tailFrames).toBeGreaterThan(0);
    expect(plan.tailFrames % 4800).toBe(0);
    expect(plan.tailFrames).toBeLessThan(2 * 48000);
    expect(plan.frames).toBe(48000 + plan.tailFrames);
    for (const [, planes] of sounds(await written(plan))) {
      for (const { length } of planes) expect(length).toBe(plan.frames);
      expect(Math.abs(planes[0].at(-1)!)).toBeLessThan(1e-6);
    }
    // The tail is what the engine would go on with, not a fade of ours.
    const { coloured } = heard(session, 4, plan.frames);
    expect(coloured[0].subarray(48000).some((x) => Math.abs(x) > 1e-6)).toBe(true);
    expect(planOf(session, { tail: false }).frames).toBe(48000);
  });

  it('has no tail where no stage adds anything', () => {
    const { document, sources } = small();
    const bare = {
      ...document,
      channels: document.channels.map((channel) => ({ ...channel, rack: rackOf() })),
      buses: [],
      mix: { rack: rackOf(), outputMatchDb: null },
    };
    expect(planOf({ document: bare, sources }).tailFrames).toBe(0);
  });
});

describe('what is exported', () => {
  it('leaves out what is muted and says so, whatever is soloed', () => {
    const session = small();
    session.document.channels[0].mute = true;
    session.document.channels[1].solo = true;
    const plan = planOf(session);
    expect(plan.files.map(({ name }) => name)).toEqual([
      'clean.wav',
      'coloured.wav',
      'channels before fader/accordion.wav',
      'channels before fader/frame drum.wav',
      'buses before fader/Reeds.wav',
    ]);
    expect(plan.warnings).toEqual(['Muted, and so in no file: "melodica".', DISTRIBUTION]);
    session.document.buses[0].mute = true;
    // With its bus goes every channel that plays into it.
    expect(planOf(session).files.map(({ title }) => title)).toEqual(['Clean', 'Coloured', 'frame drum']);
  });

  it('takes the sides of the switch: scenes, scope and all drives are worked in', () => {
    const { document } = small();
    const racks = { melodica: rackOf(stageOf('soft-clip', { drive: 1 })) };
    const scene = { id: 'one', name: 'Softer', notes: '', racks, allDrivesDb: 2 };
    const driveOf = (side: typeof document | null, at: number) => side?.channels[at].rack.stages[0].params.drive;
    const sides = exportSides({ ...document, scenes: [scene], sides: { a: 'one', b: 'current' }, allDrivesDb: -3 });
    expect(sides.names).toEqual({ a: 'Softer', b: 'Coloured' });
    expect([driveOf(sides.a, 0), driveOf(sides.b, 0)]).toEqual([3, 5]);
    const scoped = exportSides({ ...document, scope: { kind: 'only', rackId: 'melodica' } });
    expect(scoped.names.a).toBe('Clean within the scope');
    expect(scoped.a?.channels.map(({ rack }) => rack.stages.length)).toEqual([0, 1, 2]);
  });

  it('one file by itself is the same as in the pass of all', async () => {
    const session = small();
    for (const bits of ['float', 16] as const) {
      const plan = planOf(session, { bits });
      const all = await written(plan);
      const loudness = new Map((await measuredFiles(plan)).map((one) => [one.file.name, one.loudness]));
      for (const file of plan.files) {
        const parts: Uint8Array[] = [];
        for await (const bytes of fileBytes(plan, file, { loudness })) parts.push(bytes.slice());
        const alone = Buffer.concat(parts);
        expect(alone.equals(Buffer.from(all.get(file.name)!))).toBe(true);
        expect(fileSize(plan, file)).toBe(alone.length);
      }
    }
  });

  it('refuses floats in a FLAC with a sentence', async () => {
    await expect(written(planOf(small(), { format: 'flac', bits: 'float' }))).rejects.toThrow(AudioFileError);
  });
});

describe('cancel', () => {
  it('takes back every file that was begun, and throws the reason', async () => {
    const plan = planOf(small());
    const there = new Set<string>();
    const aborted: string[] = [];
    const controller = new AbortController();
    const reason = new Error('enough');
    const shares: number[] = [];
    const target = {
      open: ({ name }: PlannedFile) => {
        there.add(name);
        return {
          write() {},
          close() {},
          abort() {
            there.delete(name);
            aborted.push(name);
          },
        };
      },
    };
    const run = runExport(plan, target, {
      signal: controller.signal,
      onProgress: (share) => {
        shares.push(share);
        if (share > 0.3) controller.abort(reason);
      },
    });
    await expect(run).rejects.toBe(reason);
    expect([...there]).toEqual([]);
    expect(aborted).toHaveLength(plan.files.length);
    expect(Math.max(...shares)).toBeLessThan(0.6);
  });

  it('takes them back when the target fails, a full disk for one', async () => {
    const plan = planOf(small());
    let aborted = 0;
    let room = 200_000;
    const full = new Error('full');
    const target = {
      open: () => ({
        write(bytes: Uint8Array) {
          room -= bytes.length;
          if (room < 0) throw full;
        },
        close() {
          throw new Error('It was closed.');
        },
        abort() {
          aborted++;
        },
      }),
    };
    await expect(runExport(plan, target)).rejects.toBe(full);
    expect(aborted).toBe(plan.files.length);
  });

  it('gives up before the first byte where it was cancelled before', async () => {
    const pieces = exportPieces(planOf(small()), { signal: AbortSignal.abort(new Error('no')) });
    await expect(pieces.next()).rejects.toThrow('no');
  });
});

describe.skipIf(findFfmpeg() === null || recordingNames().length < 3)('on open recordings', () => {
  it('the pair of a whole session is matched to 0.1 LU by ffmpeg', async () => {
    const found: number[] = [];
    for (const drive of [-6, 0, 6]) {
      const names = recordingNames().slice(-3);
      const stage = (kind: string, more = {}) => stageOf(kind, { drive, ...more });
      const session: SoundSession = {
        document: {
          ...emptySession(48000),
          channels: names.map((id, i) =>
            channelOf(id, {
              busId: i < 2 ? 'strings' : null,
              gainDb: -4,
              pan: 30 * i - 30,
              rack: rackOf(stage('soft-clip', { bias: 20 * i }), stage('harmonic-set')),
            }),
          ),
          buses: [newBus('strings', 'Strings', { rack: rackOf(stage('diode-pair')) })],
          mix: { rack: rackOf(stage('soft-clip')), outputMatchDb: null },
        },
        sources: new Map(
          names.map((name) => [name, realRecordingAt(name, 48000).map((plane) => plane.subarray(0, 4 * 48000))]),
        ),
      };
      const files = sounds(
        await written(planOf(session, { sides: matched(session).sides, stems: false, bits: 24, tail: false })),
      );
      const loudness = (name: string) => ebur128({ channels: files.get(name)!, sampleRate: 48000 }).integratedLufs;
      found.push(loudness('coloured.wav') - loudness('clean.wav'));
    }
    const sizes = found.map(Math.abs).sort((a, b) => a - b);
    console.log(
      `whole session, open recordings: typically ${sizes[1].toFixed(3)} LU, at most ${sizes[2].toFixed(3)} LU by ffmpeg`,
    );
    expect(sizes[2]).toBeLessThanOrEqual(0.1);
  });
});
