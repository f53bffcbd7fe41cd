/** The workbench's side of the export, with folders in memory and the jobs themselves in place of their worker. */
import { describe, expect, it, vi } from 'vitest';
import { gainToDb } from '../../../src/dsp/units.ts';
import type { RackFigures, SideFigures } from '../../../src/measure/figures.ts';
import { newBus } from '../../../src/session/document.ts';
import type { ExportSettings } from '../../../src/stores/take-home-store.ts';
import { cleanKey, expectedExport, settled } from '../../../src/workbench/take-home/expected-export.ts';
import type { TakeHomeSession } from '../../../src/workbench/take-home/take-home.ts';
import { TakeHome } from '../../../src/workbench/take-home/take-home.ts';
import { exportWarnings } from '../../../src/workbench/take-home/words.ts';
import { zipStream } from '../../../src/workbench/take-home/zip-stream.ts';
import { WorkerFault } from '../../../src/workers/channel.ts';
import type { ExportJob, ExportOutcome, TakeHomePiece } from '../../../src/workers/take-home/protocol.ts';
import { smallSession, smallSources } from '../../measure/sessions.ts';
import { MemoryFolder } from './memory-folder.ts';

const ALL = {
  pair: true,
  channels: true,
  buses: true,
  fader: 'before',
  report: true,
  format: 'wav',
  bits: 24,
} as const;

const OUTCOME: ExportOutcome = {
  files: [
    { name: 'clean.wav', kind: 'clean', channels: 2, bytes: 6, overs: 0, truePeakDbtp: -3 },
    { name: 'coloured.wav', kind: 'coloured', channels: 2, bytes: 3, overs: 2, truePeakDbtp: 0.44 },
  ],
  frames: 1,
  tailFrames: 0,
  headroomDb: 0,
  reported: true,
};

const piece = (name: string, values: number[], more: Partial<TakeHomePiece> = {}): TakeHomePiece => ({
  name,
  bytes: new Uint8Array(values),
  ...more,
});

/** Two files in turns and a patch, or in order. */
const PIECES = [
  piece('clean.wav', [1, 2, 3]),
  piece('coloured.wav', [7, 8, 9]),
  piece('clean.wav', [4, 5, 6]),
  piece('clean.wav', [11], { at: 0 }),
];

function rig(
  over: Partial<Omit<TakeHomeSession, 'notices'>> = {},
  pieces: readonly (TakeHomePiece | Error)[] = PIECES,
) {
  const said: string[] = [];
  const document = smallSession();
  const jobs: ExportJob[] = [];
  /** What the job waits for before its last piece, so that it can be cancelled. */
  let held: Promise<void> | null = null;
  const workbench: TakeHomeSession = {
    document,
    sounds: { of: () => new Map(smallSources(1)) },
    analysis: { status: 'idle' },
    notices: { say: (kind, text) => void said.push(`${kind}: ${text}`) },
    ...over,
  };
  const takeHome = new TakeHome(workbench, 'Level Best test', {
    async *exportedPieces(job, { signal, onProgress }) {
      jobs.push(job);
      onProgress('rendering', 0.5);
      for (const one of pieces) {
        if (one instanceof Error) throw one;
        if (held && one === pieces.at(-1)) {
          await Promise.race([
            held,
            new Promise((_, reject) => signal.addEventListener('abort', () => reject(signal.reason))),
          ]);
        }
        yield one;
      }
      return OUTCOME;
    },
    madeReport: async () => ({ html: '<p>', md: '#', json: '{}' }),
    checkedImport: async () => {
      throw new WorkerFault('There is not enough memory for this.');
    },
  });
  return {
    takeHome,
    said,
    jobs,
    hold: () => {
      held = new Promise(() => undefined);
    },
  };
}

async function exported(made: ReturnType<typeof rig>, folder: MemoryFolder) {
  vi.stubGlobal('showDirectoryPicker', async () => folder);
  await made.takeHome.export('folder');
  vi.unstubAllGlobals();
}

describe('into a folder', () => {
  it('makes a new one inside, writes and patches each file, and warns of overs', async () => {
    const made = rig();
    const folder = new MemoryFolder();
    made.takeHome.setShown(true);
    await exported(made, folder);
    expect(folder.tree()).toEqual({
      'Harbour Hall export': { 'clean.wav': [11, 2, 3, 4, 5, 6], 'coloured.wav': [7, 8, 9] },
    });
    expect(made.takeHome.ending).toEqual({
      how: 'written',
      what: 'export',
      text: 'Written: 2 files in the folder "Harbour Hall export".',
      files: OUTCOME.files,
      warnings: [
        'coloured.wav: 2 samples over full scale, limited (true peak +0.4 dBTP). Turn the gains down by that much, or export 32-bit float, which keeps them.',
        'Limited like this, clean and coloured are not matched any more. Let both be lowered alike instead.',
      ],
    });
    expect(made.takeHome.work).toBeNull();
    expect(made.said).toEqual([]);
    expect(made.jobs[0]).toMatchObject({ order: 'together', factor: 4, kinds: ['clean', 'coloured'], report: true });
  });

  it('never writes over what is there, be it a folder or a file', async () => {
    const folder = new MemoryFolder();
    folder.put('Harbour Hall export', new MemoryFolder());
    folder.put('Harbour Hall export 2', [1]);
    await exported(rig(), folder);
    expect(Object.keys(folder.tree())).toEqual([
      'Harbour Hall export',
      'Harbour Hall export 2',
      'Harbour Hall export 3',
    ]);
    expect(folder.tree()).toMatchObject({ 'Harbour Hall export': {}, 'Harbour Hall export 2': [1] });
  });

  it('leaves nothing behind when it is cancelled, and says so as a notice while the sheet is closed', async () => {
    const made = rig();
    made.hold();
    const folder = new MemoryFolder();
    const run = exported(made, folder);
    await vi.waitFor(() => expect(made.takeHome.work?.share).toBe(0.5));
    expect(made.takeHome.work).toEqual({ what: 'export', doing: 'Rendering and writing', share: 0.5 });
    // One thing at a time.
    await made.takeHome.export('folder');
    expect(made.jobs).toHaveLength(1);
    made.takeHome.cancel();
    await run;
    expect(folder.tree()).toEqual({});
    expect(made.said).toEqual(['info: The export was cancelled, and nothing is left of it.']);
  });

  it('leaves nothing behind when the disk is full, and says what to do', async () => {
    const made = rig();
    const folder = new MemoryFolder();
    folder.room = 5;
    await exported(made, folder);
    expect(folder.tree()).toEqual({});
    expect(made.takeHome.ending).toMatchObject({ how: 'failed', what: 'export' });
    expect(made.takeHome.ending?.text).toContain('The disk is full.');
    expect(made.said[0]).toMatch(/^fault: The export was not written, and nothing is left of it\. The disk is full\./);
  });

  it('leaves nothing behind when a file cannot be closed after others were', async () => {
    const made = rig();
    const folder = new MemoryFolder();
    folder.failsToClose = 'coloured.wav';
    await exported(made, folder);
    expect(folder.tree()).toEqual({});
    expect(made.takeHome.ending?.text).toContain('open in another program');
  });

  it('says what the worker said', async () => {
    const made = rig({}, [PIECES[0], new WorkerFault('There is not enough memory for this. Close other tabs.')]);
    const folder = new MemoryFolder();
    await exported(made, folder);
    expect(folder.tree()).toEqual({});
    expect(made.takeHome.ending?.text).toContain('not enough memory');
  });

  it('does nothing where no folder was chosen', async () => {
    const made = rig();
    vi.stubGlobal('showDirectoryPicker', async () => {
      throw new DOMException('closed', 'AbortError');
    });
    await made.takeHome.export('folder');
    vi.unstubAllGlobals();
    expect([made.takeHome.ending, made.takeHome.work, made.jobs.length, made.said.length]).toEqual([null, null, 0, 0]);
  });
});

describe('gains', () => {
  it('are the stored ones only where they are those of the racks as they are', async () => {
    const document = { ...smallSession(), mix: { ...smallSession().mix, outputMatchDb: 0.3 } };
    const gainOf = async (over: Partial<TakeHomeSession>) => {
      const made = rig({ document, ...over });
      await exported(made, new MemoryFolder());
      return made.jobs[0].document.mix.outputMatchDb;
    };
    expect(await gainOf({})).toBe(0.3);
    expect(await gainOf({ analysis: { status: 'working' } })).toBeNull();
    const scene = { id: 's', name: 'Mild', notes: '', racks: {}, allDrivesDb: 0 };
    expect(await gainOf({ document: { ...document, scenes: [scene], sides: { a: 'clean', b: 's' } } })).toBeNull();
  });
});

describe('the import check', () => {
  it('says of a file that cannot be read, with its name, what to do', async () => {
    const { takeHome } = rig();
    await takeHome.check(new File(['no sound'], 'letter.txt'));
    expect(takeHome.checked).toEqual({
      file: 'letter.txt',
      check: null,
      fault: 'letter.txt: It is none of WAV, FLAC, AIFF, MP3, Ogg or M4A; export it as WAV or FLAC.',
      outdated: false,
    });
    expect([takeHome.work, takeHome.ending]).toEqual([null, null]);
  });
});

describe('a check', () => {
  it('is outdated by what moves the clean mix, and by nothing else', () => {
    const document = smallSession();
    const [first, ...others] = document.channels;
    const key = cleanKey(document);
    const withFirst = (channel: Partial<typeof first>) =>
      cleanKey({ ...document, channels: [{ ...first, ...channel }, ...others] });
    expect(cleanKey({ ...document, name: 'Other', allDrivesDb: 3, matching: false })).toBe(key);
    expect(withFirst({ name: 'Other', solo: true, rack: { ...first.rack, on: false } })).toBe(key);
    const moved = [{ gainDb: 0 }, { pan: 1 }, { busId: null }, { mute: true }].map(withFirst);
    moved.push(cleanKey({ ...document, buses: [{ ...document.buses[0], gainDb: 1 }] }));
    expect(new Set([key, ...moved]).size).toBe(6);
  });
});

describe('what is expected', () => {
  const session = smallSession();
  const sources = new Map(smallSources(1));

  it('is every file with the size it will have, but for what rings on', () => {
    const { files, bytes, refusal, sentences } = expectedExport(session, sources, ALL);
    expect(files.map(({ name }) => name)).toEqual([
      'clean.wav',
      'coloured.wav',
      'channels before fader/melodica.wav',
      'channels before fader/accordion.wav',
      'channels before fader/frame drum.wav',
      'buses before fader/Reeds.wav',
      'report.html',
      'report.md',
      'report.json',
    ]);
    expect(refusal).toBeNull();
    const frames = Math.max(...[...sources.values()].map(([plane]) => plane.length));
    // Three bytes a sample, and a header that is the same for every length.
    for (const file of files.slice(0, 6)) expect(file.bytes! - 3 * file.channels! * frames).toBeGreaterThan(44);
    const channels = session.channels.map(({ id }) => sources.get(id)!.length);
    expect(files.slice(2, 5).map((file) => file.channels)).toEqual(channels);
    const after = expectedExport(session, sources, { ...ALL, fader: 'after' });
    expect(after.files.slice(2, 6).map((file) => [file.name.split('/')[0], file.channels])).toEqual([
      ['channels after fader', 2],
      ['channels after fader', 2],
      ['channels after fader', 2],
      ['buses after fader', 2],
    ]);
    expect(bytes).toBe(files.reduce((sum, file) => sum + (file.bytes ?? 0), 0));
    expect(sentences[0]).toContain('does not distribute over stems');
    expect(sentences.at(-1)).toContain('comes on top');
  });

  it('names what is muted, what has no sound, what stands on the switch, and that matching is off', () => {
    const document = {
      ...session,
      matching: false,
      buses: session.buses.map((bus) => ({ ...bus, mute: true })),
      scenes: [{ id: 's', name: 'Mild', notes: '', racks: {}, allDrivesDb: 0 }],
      sides: { a: 's', b: 'current' },
    };
    const { sentences } = expectedExport(document, new Map(), { ...ALL, channels: false });
    expect(sentences).toContain('Muted, and so in no file: "melodica", "accordion", "Reeds".');
    expect(sentences).toContain('Without sound, and so silent: "frame drum".');
    expect(sentences).toContain('The pair is what stands on the switch: Mild and Coloured.');
    expect(sentences).toContain('Matching is off: the pair is written at the levels as they come.');
  });

  it('refuses silence, nothing chosen, and a WAV beyond 4 GB', () => {
    expect(expectedExport(session, new Map(), ALL).refusal).toContain('There is no sound to export');
    const nothing = { ...ALL, pair: false, channels: false, buses: false, report: false };
    expect(expectedExport(session, sources, nothing).refusal).toBe('Choose at least one thing to write.');
    // Only the length is looked at: two hours at 192 kHz, of which there is no sound in memory.
    const long = new Map([['melodica', [{ length: 2 * 3600 * 192_000 } as Float32Array]]]);
    const document = { ...session, sampleRate: 192_000 };
    expect(expectedExport(document, long, { ...ALL, bits: 'float' }).refusal).toContain('A WAV ends at 4 GB');
  });

  it('says beforehand which files are sure to go over, as far as the analysis knows', () => {
    const peaks = (positivePeakDbfs: number): SideFigures => ({
      integratedLufs: -20,
      truePeakDbtp: positivePeakDbfs,
      positivePeakDbfs,
      negativePeakDbfs: positivePeakDbfs - 3,
      plrDb: 10,
      dcDbfs: null,
      limitingDb: 0,
    });
    const outputs: Record<string, SideFigures> = {
      melodica: peaks(2.34),
      accordion: peaks(-1),
      'frame drum': peaks(-8),
      reeds: peaks(-6),
    };
    const figures = {
      status: 'idle',
      clean: peaks(-1),
      coloured: peaks(0.5),
      rack: (id: string) => ({ output: outputs[id] }) as RackFigures,
    };
    const document = {
      ...session,
      channels: session.channels.map((channel, i) => ({ ...channel, gainDb: [-6, 3, 0][i], pan: [0, 40, 0][i] })),
      buses: session.buses.map((bus) => ({ ...bus, gainDb: 7 })),
    };
    const said = (over: Partial<ExportSettings> = {}, known = figures, of = document) =>
      expectedExport(of, sources, { ...ALL, ...over }, known).warnings;
    // Both mixes are lowered together unless they are to be limited.
    expect(said()[0]).toContain('written like this: channels before fader/melodica.wav by 2.3 dB. Turn');
    expect(said({ overs: 'limit' })).toEqual([
      'Over full scale, and limited if it is written like this: coloured.wav by 0.5 dB, channels before fader/melodica.wav by 2.3 dB. Turn them down, or choose 32 bit float, which keeps them.',
    ]);
    // After the fader gains count; what balance turns down of a stereo channel may be its peak.
    expect(said({ fader: 'after', pair: false, bits: 'float' })).toEqual([
      `Over full scale, and kept so in floats: channels after fader/accordion.wav by ${(2 + gainToDb(Math.cos(0.2 * Math.PI))).toFixed(1)} dB, buses after fader/Reeds.wav by 1.0 dB. Turn them down before they become whole numbers.`,
    ]);
    expect(said({ pair: false, channels: false })).toEqual([]);
    expect(said({}, { ...figures, status: 'working' })).toEqual([]);
    // Sums are known of what all channels make, so not where one is muted.
    const muted = { ...document, channels: document.channels.map((one, i) => ({ ...one, mute: i === 2 })) };
    expect(said({ channels: false }, figures, muted)).toEqual([]);
    const region = { ...document, matchRegion: { startSeconds: 0, endSeconds: 0.5 } };
    expect(said({}, figures, region)[0]).toContain('Outside the match region there may be more.');
  });

  it('is an upper limit for FLAC, which has no floats', () => {
    expect(settled({ ...ALL, format: 'flac', bits: 'float' }).bits).toBe(24);
    expect(settled({ ...ALL, format: 'flac', bits: 16 }).bits).toBe(16);
    const expected = expectedExport({ ...session, buses: [newBus('reeds', 'Reeds')] }, sources, {
      ...ALL,
      format: 'flac',
    });
    expect(expected.atMost).toBe(true);
    expect(expected.files[0].bytes).toBe(expectedExport(session, sources, ALL).files[0].bytes);
  });
});

describe('warnings', () => {
  it('tell floats, which are kept, from whole numbers, and name a report that is missing', () => {
    const one = { ...OUTCOME, files: [{ ...OUTCOME.files[1], overs: 1 }], reported: false };
    expect(exportWarnings(one, 'float')).toEqual([
      'coloured.wav: 1 sample over full scale, kept as they are (true peak +0.4 dBTP). Turn it down before it becomes whole numbers.',
      'There is no report: there is no sound in the match region. Choose another one.',
    ]);
  });
});

describe('a ZIP', () => {
  it('asks for the next piece only when the last one was taken', async () => {
    let asked = 0;
    async function* pieces(): AsyncGenerator<TakeHomePiece, ExportOutcome> {
      for (const name of ['a', 'b']) {
        for (let i = 0; i < 3; i++) {
          asked++;
          yield piece(name, [i], { last: i === 2 });
        }
      }
      return OUTCOME;
    }
    let outcome: ExportOutcome | null = null;
    const reader = zipStream(pieces(), new Date(2026, 0, 2), (done) => (outcome = done)).getReader();
    const parts: Uint8Array[] = [];
    await reader.read();
    expect(asked).toBeLessThan(6);
    for (let part = await reader.read(); !part.done; part = await reader.read()) parts.push(part.value);
    expect(asked).toBe(6);
    expect(outcome).toBe(OUTCOME);
    expect(Buffer.concat(parts).includes(Buffer.from([0, 1, 2]))).toBe(true);
  });

  it('fails where the export fails, so that nothing is taken for whole', async () => {
    async function* pieces(): AsyncGenerator<TakeHomePiece, ExportOutcome> {
      yield piece('a', [1]);
      throw new WorkerFault('gone');
    }
    const stream = zipStream(pieces(), new Date(2026, 0, 2), () => undefined);
    await expect(new Response(stream).arrayBuffer()).rejects.toThrow('gone');
  });
});
