/** `render` of whole sessions with stems, as WAV and FLAC, from a ZIP, of several files, and when it is cancelled. */
import { execFileSync, spawn, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { describe, expect, it } from 'vitest';
import { Progress } from '../../src/cli/progress.ts';
import type { Report } from '../../src/cli/render-report.ts';
import { measure } from '../../src/dsp/measure.ts';
import { readFlac } from '../../src/files/flac.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { sessionZip } from '../../src/session/session-file.ts';
import { bursts, smallSession } from '../measure/sessions.ts';
import { alike } from '../support/alike.ts';
import { decodeToFloat, findFfmpeg } from '../support/oracle-ffmpeg.ts';
import { builtMain, cli, cliAlone, cliJson, loadWav, namesIn, newFolder, saveWav, tone } from './cli.ts';

const BEXT = {
  description: 'take 3, <melodica> & "friends"',
  timeReference: 172_800_000,
  originatorReference: 'HH0003',
  codingHistory: 'A=PCM,F=48000,W=24,M=mono,T=take\r\n',
  loudness: { integrated: -99, truePeak: -99 },
};
const hasSox = spawnSync('sox', ['--version']).status === 0;

/** The small session with its sounds on disk: bursts, again after every second of them. */
function saved(seconds = 1, change: (document: SessionDocument) => void = () => {}) {
  const folder = newFolder();
  const document = smallSession();
  document.channels.forEach((channel, index) => {
    const channels = Array.from({ length: 1 + (index % 2) }, (_, side) => {
      const second = bursts(48000, 48000, 0.8, 7 * index + side);
      const plane = new Float32Array(seconds * 48000);
      for (let at = 0; at < plane.length; at += second.length) plane.set(second, at);
      return plane;
    });
    const file = `${channel.id}.wav`;
    const path = saveWav(join(folder, file), { channels, sampleRate: 48000, bext: BEXT });
    const sha256 = createHash('sha256').update(readFileSync(path)).digest('hex');
    channel.audio = { file, sha256, sampleRate: 48000, channelCount: channels.length, frames: seconds * 48000 };
  });
  change(document);
  const path = join(folder, 'harbour-hall.json');
  writeFileSync(path, JSON.stringify(document));
  return { folder, path, document };
}

/** The small session with stems in one form, rendered once for all that is asked of it. */
const rendered = new Map<string, { out: string; report: Report }>();
function stemsOf(bits: '16' | '24' | 'float', format: 'wav' | 'flac' = 'wav') {
  const known = rendered.get(`${bits} ${format}`);
  if (known) return known;
  const out = newFolder();
  const { path } = saved();
  const report = cliJson<Report>(['render', path, '--out', out, '--stems', '--bits', bits, '--format', format]);
  const made = { out, report };
  rendered.set(`${bits} ${format}`, made);
  return made;
}

const CHANNELS = ['melodica', 'accordion', 'frame drum'].map((name) => `channels before fader/${name}`);
const NAMES = ['clean', 'coloured', ...CHANNELS, 'buses before fader/Reeds'];
const withEnding = (ending: string) => [...NAMES.map((name) => `${name}.${ending}`), 'report.json'].sort();
const LINE = String.raw`A=PCM,F=48000,W=(16|24|32),M=(mono|stereo),T=Level Best [\d.]+; 4x; [^,]+\r\n`;

/** Every file below a folder. */
function filesIn(folder: string): string[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => relative(folder, join(entry.parentPath, entry.name)))
    .sort();
}

const stem = (file: string, kind: string, id: string, channels: number) => ({
  file,
  kind,
  id,
  name: id,
  overs: 0,
  fader: 'before',
  channels,
});

describe('render SESSION --stems', () => {
  it.each(['16', '24', 'float'] as const)(
    'writes WAVs of %s bit that say where they belong, all equally long',
    (bits) => {
      const { out, report } = stemsOf(bits);
      expect(filesIn(out)).toEqual(withEnding('wav'));
      expect(report.stems).toEqual([
        stem('channels before fader/melodica.wav', 'channel', 'melodica', 1),
        stem('channels before fader/accordion.wav', 'channel', 'accordion', 2),
        stem('channels before fader/frame drum.wav', 'channel', 'frame drum', 1),
        { ...stem('buses before fader/Reeds.wav', 'bus', 'reeds', 2), name: 'Reeds' },
      ]);
      expect(report.warnings.filter((warning) => /does not distribute over stems/.test(warning))).toHaveLength(1);
      for (const name of NAMES) {
        const audio = loadWav(join(out, `${name}.wav`));
        const mono = /melodica|drum/.test(name);
        expect(audio.channels.map(({ length }) => length)).toEqual(new Array(mono ? 1 : 2).fill(report.frames));
        expect(String(audio.bits)).toBe(bits);
        expect(audio.bext).toMatchObject({ originator: 'Level Best', timeReference: BEXT.timeReference });
        expect(audio.bext?.description).toBe(
          name.startsWith('channels')
            ? BEXT.description
            : {
                clean: 'Harbour Hall: Clean',
                coloured: 'Harbour Hall: Coloured',
                'buses before fader/Reeds': 'Harbour Hall: bus Reeds',
              }[name],
        );
        // The history of the source, and one line: by EBU R 98.
        expect(audio.bext?.codingHistory).toMatch(new RegExp(`^A=PCM,F=48000,W=24,M=mono,T=take\r\n${LINE}$`));
        expect(audio.bext?.codingHistory).toContain(
          `,W=${bits === 'float' ? '32' : bits},M=${mono ? 'mono' : 'stereo'},T=L`,
        );
        // The loudness is the file's own, and not what the source states.
        const own = measure(audio.channels, 48000);
        expect(audio.bext?.loudness?.integrated).toBeCloseTo(own.integratedLufs!, 2);
        expect(audio.bext?.loudness?.truePeak).toBeCloseTo(own.truePeakDbtp!, 2);
        expect(audio.bext?.loudness?.momentary).toBeCloseTo(own.maxMomentaryLufs!, 2);
        expect(audio.bext?.date).toMatch(/^\d{4}-\d\d-\d\d$/);
      }
    },
  );

  it.skipIf(findFfmpeg() === null)('bext and samples read back identically by ffmpeg, WAV and FLAC', async () => {
    const [{ out: wav }, { out: flac }] = [stemsOf('24'), stemsOf('24', 'flac')];
    expect(filesIn(flac)).toEqual(withEnding('flac'));
    for (const name of NAMES) {
      const ours = loadWav(join(wav, `${name}.wav`)).channels;
      expect(alike(decodeToFloat(join(wav, `${name}.wav`)).channels, ours)).toBe(true);
      expect(alike(decodeToFloat(join(flac, `${name}.flac`)).channels, ours)).toBe(true);
      expect(alike((await readFlac(readFileSync(join(flac, `${name}.flac`)))).channels, ours)).toBe(true);
      // Header and checksum are complete: the reference decoder's library finds the MD5 that is stated.
      const bytes = readFileSync(join(flac, `${name}.flac`));
      expect(bytes.subarray(26, 42).some((byte) => byte !== 0)).toBe(true);
    }
    const tags = execFileSync(
      'ffmpeg',
      ['-v', 'error', '-i', join(wav, 'channels before fader/melodica.wav'), '-f', 'ffmetadata', '-'],
      {
        encoding: 'utf8',
      },
    );
    expect(tags).toContain('time_reference=172800000');
    expect(tags).toContain('originator_reference=HH0003');
    expect(tags).toContain('encoded_by=Level Best');
    expect(tags).toContain('comment=take 3, <melodica> & "friends"');
  });

  it.skipIf(!hasSox)('read back identically by sox', () => {
    const [{ out: wav }, { out }] = [stemsOf('16'), stemsOf('16', 'flac')];
    for (const name of NAMES) {
      const raw = (file: string) =>
        execFileSync('sox', [file, '-t', 'raw', '-e', 'signed-integer', '-b', '16', '-'], { maxBuffer: 2 ** 26 });
      const ours = loadWav(join(wav, `${name}.wav`)).channels;
      const theirs = raw(join(wav, `${name}.wav`));
      expect(raw(join(out, `${name}.flac`)).equals(theirs)).toBe(true);
      for (let i = 0; i < ours[0].length; i += 97)
        expect(theirs.readInt16LE(2 * ours.length * i)).toBe(ours[0][i] * 32768);
    }
  });

  it('counts overs in stems too, and says so', () => {
    const { path } = saved(1, (document) => {
      document.channels[2].gainDb = 30;
    });
    const { status, stderr } = cli(['render', path, '--out', newFolder(), '--stems', '--fader', 'after']);
    expect(status).toBe(0);
    expect(stderr).toMatch(
      /channels after fader\/frame drum\.wav: \d+ samples lie above full scale, and they were limited/,
    );
  });

  it('makes 16 bit with dither, the same at every run', () => {
    const { path } = saved();
    const out = newFolder();
    cliJson(['render', path, '--out', out, '--bits', '16']);
    const [one, other] = [out, stemsOf('16').out].map((folder) => loadWav(join(folder, 'coloured.wav')).channels);
    const frames = Math.min(one[0].length, other[0].length);
    expect(frames).toBeGreaterThanOrEqual(48_000);
    // What rings on behind is as long as the longest of all files.
    const start = (planes: Float32Array[]) => planes.map((plane) => plane.subarray(0, frames));
    expect(alike(start(one), start(other))).toBe(true);
  });
});

describe('a session as a ZIP', () => {
  it('is rendered as its JSON is', async () => {
    const { path, document, folder } = saved();
    const audio = new Map(
      document.channels.map(({ audio: own }) => [own!.sha256, new Uint8Array(readFileSync(join(folder, own!.file)))]),
    );
    const zip = join(newFolder(), 'harbour-hall.zip');
    writeFileSync(zip, new Uint8Array(await new Response(sessionZip(document, audio)).arrayBuffer()));
    const [one, other] = [newFolder(), newFolder()];
    cliJson(['render', path, '--out', one, '--bits', 'float']);
    cliJson(['render', zip, '--out', other, '--bits', 'float']);
    expect(alike(loadWav(join(other, 'coloured.wav')).channels, loadWav(join(one, 'coloured.wav')).channels)).toBe(
      true,
    );
    writeFileSync(zip, readFileSync(zip).subarray(0, 3000));
    const { status, stderr } = cli(['render', zip, '--out', newFolder()]);
    expect(status).toBe(1);
    expect(stderr).toMatch(/harbour-hall\.zip: The ZIP is damaged/);
  });
});

describe('several files side by side', () => {
  const folder = newFolder();
  const files = [-20, -14, -8].map((level, i) =>
    saveWav(join(folder, `tone ${i}.wav`), { channels: [tone(1, level)], sampleRate: 48000 }),
  );
  const inputs = files.flatMap((file) => ['--input', file]);

  it('gives each a folder of its name, the same as by itself', () => {
    const [all, alone] = [newFolder(), newFolder()];
    const words = cliAlone(['render', ...inputs, '--stage', 'soft-clip:drive=6', '--out', all, '--json']);
    const reports = JSON.parse(words.stdout) as Report[];
    expect(reports.map(({ input }) => input)).toEqual(files);
    expect(namesIn(all)).toEqual(['tone 0', 'tone 1', 'tone 2']);
    const one = cliJson<Report>(['render', '--input', files[1], '--stage', 'soft-clip:drive=6', '--out', alone]);
    expect(reports[1]).toEqual(one);
    expect(readFileSync(join(all, 'tone 1', 'coloured.wav')).equals(readFileSync(join(alone, 'coloured.wav')))).toBe(
      true,
    );
  });

  it('writes FLAC too', async () => {
    const out = newFolder();
    const report = cliJson<Report>(['render', '--input', files[0], '--format', 'flac', '--out', out]);
    expect(namesIn(out)).toEqual(['clean.flac', 'coloured.flac', 'report.json']);
    expect(report.format).toBe('flac');
    const { channels } = await readFlac(readFileSync(join(out, 'clean.flac')));
    expect(alike(channels, loadWav(files[0]).channels)).toBe(true);
  });

  it('says which of them could not be rendered, and of two that would meet', () => {
    const { status, stderr } = cliAlone([
      'render',
      ...inputs,
      '--input',
      join(folder, 'gone.wav'),
      '--out',
      newFolder(),
    ]);
    expect([status, stderr]).toEqual([1, expect.stringMatching(/^level-best: .*gone\.wav: There is no such file/)]);
    const twice = cli(['render', '--input', files[0], '--input', files[0], '--out', newFolder()]);
    expect(twice.stderr).toMatch(/would both be written to/);
  });

  it('measures in their order, on every core', () => {
    const figures = cliJson<{ samplePeakDbfs: number }[]>(['measure', ...files, ...files]);
    expect(figures.map(({ samplePeakDbfs }) => Math.round(samplePeakDbfs))).toEqual([-20, -14, -8, -20, -14, -8]);
  });
});

describe('a cancelled render', () => {
  it('leaves nothing behind, says so and ends with 130', async () => {
    const { path } = saved(12);
    const out = join(newFolder(), 'made', 'for it');
    const run = spawn(process.execPath, [builtMain(), 'render', path, '--out', out, '--stems'], {
      stdio: ['ignore', 'ignore', 'pipe'],
    });
    let words = '';
    run.stderr.on('data', (data) => {
      words += data;
    });
    const ended = new Promise<number | null>((resolve) => run.once('exit', resolve));
    // Sent once files are being written: the folder is there then.
    for (let tries = 0; tries < 600; tries++) {
      await new Promise((resolve) => setTimeout(resolve, 50));
      if (spawnSync('test', ['-d', out]).status === 0) break;
    }
    run.kill('SIGINT');
    expect(await ended).toBe(130);
    expect(words).toBe('level-best: Cancelled; nothing was written.\n');
    expect(spawnSync('test', ['-e', out]).status).toBe(1);
    expect(spawnSync('test', ['-e', join(out, '..')]).status).toBe(1);
  });
});

describe('the progress bar', () => {
  it('is drawn on a terminal only, and taken away at the end', () => {
    const written: string[] = [];
    const stream = (isTTY: boolean) => ({ isTTY, write: (text: string) => written.push(text) > 0 });
    const quiet = new Progress(stream(false) as never);
    quiet.show('Rendering', 1);
    quiet.end();
    expect(written).toEqual([]);
    const bar = new Progress(stream(true) as never);
    bar.show('Rendering', 1);
    expect(written[0]).toMatch(/Rendering +█{30} 100 %$/);
    bar.end();
    expect(written.at(-1)).toBe('\r\x1b[K');
  });
});

describe('wrong words', () => {
  it.each<[string[], number, RegExp]>([
    [['--format', 'mp3'], 1, /--format must be wav or flac; it was mp3/],
    [['--format', 'flac', '--bits', 'float'], 1, /FLAC holds whole numbers only/],
    [['--tail', 'long'], 1, /--tail must be on or off; it was long/],
    [['--stems', '--fader', 'half'], 1, /--fader must be before or after; it was half/],
    [['--fader', 'after'], 2, /--fader says where stems are taken; write --stems as well/],
  ])('%j', (args, code, sentence) => {
    const { status, stderr } = cli(['render', 'any.json', '--out', newFolder(), ...args]);
    expect([status, stderr]).toEqual([code, expect.stringMatching(sentence)]);
  });

  it('stems of a file', () => {
    const { status, stderr } = cli(['render', '--input', 'any.wav', '--stems', '--out', newFolder()]);
    expect([status, stderr]).toEqual([2, expect.stringMatching(/A sound file has no stems/)]);
  });
});
