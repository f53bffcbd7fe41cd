/** What the take-home worker does, without the worker: the same bytes as the export itself, and no more under way than is taken. */
import { describe, expect, it, vi } from 'vitest';
import { measure } from '../../../src/dsp/measure.ts';
import { AudioFileError } from '../../../src/files/audio-file-error.ts';
import { readFlac } from '../../../src/files/flac.ts';
import { readWav } from '../../../src/files/wav.ts';
import { ByteSender } from '../../../src/workers/take-home/byte-sender.ts';
import { checkJob } from '../../../src/workers/take-home/check-job.ts';
import { exportJob } from '../../../src/workers/take-home/export-job.ts';
import { faultText } from '../../../src/workers/take-home/fault-text.ts';
import type { ExportJob, TakeHomePiece } from '../../../src/workers/take-home/protocol.ts';
import { reportJob } from '../../../src/workers/take-home/report-job.ts';
import type { ExportHost } from '../../../src/workers/take-home/take-home-host.ts';
import type { SoundSession } from '../../export/export-rig.ts';
import { matched, planOf, written } from '../../export/export-rig.ts';
import { smallSession, smallSources } from '../../measure/sessions.ts';
import { ebur128, findFfmpeg } from '../../support/oracle-ffmpeg.ts';

/** A third of the usual rate: which bytes are sent doesn't hang on it. */
const RATE = 16_000;
const small = (): SoundSession => ({ document: smallSession(RATE), sources: smallSources(2, RATE) });

function jobOf({ document }: SoundSession, over: Partial<ExportJob> = {}): ExportJob {
  return {
    document,
    factor: 4,
    format: 'wav',
    bits: 'float',
    kinds: ['clean', 'coloured', 'channel', 'bus'],
    fader: 'before',
    report: false,
    order: 'together',
    program: 'Level Best test',
    now: new Date(Date.UTC(2026, 0, 2, 3, 4, 5)),
    trials: [],
    ...over,
  };
}

/** A page that takes every piece at once and keeps the files as they would be on disk. */
function page(sources: ExportHost['sources']) {
  const files = new Map<string, Uint8Array>();
  const order: string[] = [];
  const shares: number[] = [];
  const steps: string[] = [];
  const bytes = new ByteSender((piece) => {
    order.push(`${piece.name}${piece.last ? ' ends' : ''}`);
    put(files, piece);
    bytes.taken();
  });
  const host: ExportHost = {
    sources,
    bytes,
    progress(step, share) {
      if (steps.at(-1) !== step) steps.push(step);
      if (share !== null) shares.push(share);
    },
  };
  return { host, files, order, shares, steps };
}

function put(files: Map<string, Uint8Array>, { name, bytes, at }: TakeHomePiece): void {
  const before = files.get(name) ?? new Uint8Array(0);
  if (at !== undefined) before.set(bytes, at);
  else files.set(name, new Uint8Array(Buffer.concat([before, bytes])));
}

const rising = (values: readonly number[]) => values.every((value, i) => i === 0 || value >= values[i - 1]);

describe.each(['together', 'one-by-one'] as const)('an export, %s', (order) => {
  it('sends the very bytes of the export, matched as the analysis matches', async () => {
    const session = small();
    const { host, files, shares, steps } = page(session.sources);
    const job = jobOf(session, { order });
    const outcome = await exportJob(job, host);
    const plan = planOf(session, { sides: matched(session).sides, now: job.now });
    const wanted = await written(plan);
    expect([...files.keys()].sort()).toEqual([...wanted.keys()].sort());
    for (const [name, bytes] of wanted) expect(Buffer.compare(files.get(name)!, bytes), name).toBe(0);
    expect(outcome.frames).toBe(plan.frames);
    expect(outcome.files.map(({ bytes }) => bytes)).toEqual(plan.files.map(({ name }) => wanted.get(name)!.length));
    expect(steps).toEqual(['matching', 'rendering']);
    expect(rising(shares)).toBe(true);
    expect(shares.at(-1)).toBeCloseTo(1, 9);
  });

  it('leaves out what is not wanted, and puts the report at the end', async () => {
    const session = small();
    const { host, files, steps, shares } = page(session.sources);
    const outcome = await exportJob(jobOf(session, { order, kinds: ['bus'], report: true }), host);
    expect([...files.keys()]).toEqual(['buses before fader/Reeds.wav', 'report.html', 'report.md', 'report.json']);
    expect(outcome.reported).toBe(true);
    expect(outcome.files.map(({ name, bytes }) => [name, bytes])).toEqual(
      [...files].map(([name, bytes]) => [name, bytes.length]),
    );
    expect(JSON.parse(Buffer.from(files.get('report.json')!).toString()).session.name).toBe('Harbour Hall');
    expect(steps).toEqual(['matching', 'rendering', 'report']);
    expect(rising(shares)).toBe(true);
  });
});

describe('without matching', () => {
  it('computes no gains, and writes levels as they come', async () => {
    const { document, sources } = small();
    const session = { document: { ...document, matching: false }, sources };
    const { host, files, steps } = page(sources);
    await exportJob(jobOf(session, { kinds: ['clean', 'coloured'] }), host);
    expect(steps).toEqual(['rendering']);
    const wanted = await written(planOf(session, { stems: false, now: jobOf(session).now }));
    for (const [name, bytes] of wanted) expect(Buffer.compare(files.get(name)!, bytes), name).toBe(0);
  });
});

describe('a look at the worker', () => {
  it.each(['together', 'one-by-one'] as const)('is answered while it renders, %s', async (order) => {
    const { document, sources } = small();
    const session = { document: { ...document, matching: false }, sources };
    // A slow machine: every time it asks, a second has passed. From now on: the worker knows when it rested last.
    let time = performance.now();
    const clock = vi.spyOn(performance, 'now').mockImplementation(() => (time += 1000));
    let looks = 0;
    // In every round of the event loop: a timer would miss those that are over within its millisecond.
    let waits: ReturnType<typeof setImmediate>;
    const look = () => {
      looks++;
      waits = setImmediate(look);
    };
    waits = setImmediate(look);
    await exportJob(jobOf(session, { kinds: ['clean', 'coloured'], order }), page(sources).host);
    clearImmediate(waits);
    clock.mockRestore();
    // The files are measured or rendered in several chunks.
    expect(looks).toBeGreaterThanOrEqual(3);
  });
});

describe('one file after the other', () => {
  it('never goes back to a file, as a ZIP needs it, and its FLAC reads the same', async () => {
    const session = small();
    const job = (order: ExportJob['order']) =>
      jobOf(session, { format: 'flac', bits: 24, kinds: ['clean', 'bus'], order });
    const inTurn = page(session.sources);
    await exportJob(job('one-by-one'), inTurn.host);
    const names = inTurn.order.map((entry) => entry.replace(' ends', ''));
    expect(names.filter((name, i) => name !== names[i - 1])).toEqual([...new Set(names)]);
    expect(inTurn.order.filter((entry) => entry.endsWith(' ends'))).toHaveLength(new Set(names).size);
    const atOnce = page(session.sources);
    await exportJob(job('together'), atOnce.host);
    for (const [name, bytes] of atOnce.files) {
      const one = await readFlac(bytes);
      const other = await readFlac(inTurn.files.get(name)!);
      expect(other.channels, name).toEqual(one.channels);
    }
  });
});

describe('overs', () => {
  it.skipIf(findFfmpeg() === null)('are counted, with the true peak that ffmpeg reads', async () => {
    const { document, sources } = small();
    const loud = { ...document, channels: document.channels.map((one) => ({ ...one, gainDb: one.gainDb + 20 })) };
    const session = { document: loud, sources };
    const { host, files } = page(sources);
    const outcome = await exportJob(jobOf(session, { kinds: ['clean', 'coloured'] }), host);
    for (const { name, overs, truePeakDbtp } of outcome.files) {
      const { channels } = readWav(files.get(name)!);
      expect(overs, name).toBe(channels.flatMap((plane) => [...plane]).filter((x) => Math.abs(x) > 1).length);
      expect(overs).toBeGreaterThan(0);
      // ffmpeg's meter reads to 0.1 dB, by a shorter filter.
      const theirs = ebur128({ channels, sampleRate: RATE }).truePeakDbtp;
      expect(Math.abs((truePeakDbtp as number) - theirs), name).toBeLessThan(0.3);
    }
    const limited = page(sources);
    const asTold = { kinds: ['clean', 'coloured'] as const, bits: 24 as const, overs: 'limit' as const };
    const whole = await exportJob(jobOf(session, asTold), limited.host);
    expect(whole.headroomDb).toBe(0);
    // Whole numbers end one step below full scale, so they can limit a few more.
    whole.files.forEach(({ overs, truePeakDbtp }, i) => {
      expect(overs).toBeGreaterThanOrEqual(outcome.files[i].overs);
      expect(truePeakDbtp).toBe(outcome.files[i].truePeakDbtp);
    });
  });

  it.each(['together', 'one-by-one'] as const)('of mixes are none: both are lowered alike, %s', async (order) => {
    const { document, sources } = small();
    const loud = { ...document, channels: document.channels.map((one) => ({ ...one, gainDb: one.gainDb + 20 })) };
    const session = { document: loud, sources };
    const kinds = ['clean', 'coloured'] as const;
    const asIs = await exportJob(jobOf(session, { kinds, order }), page(sources).host);
    const { host, files } = page(sources);
    const outcome = await exportJob(jobOf(session, { kinds, order, bits: 24, report: true }), host);
    expect(outcome.headroomDb).toBeLessThan(-3);
    const peaks = outcome.files.filter(({ kind }) => kind !== 'report');
    expect(peaks.map(({ overs }) => overs)).toEqual([0, 0]);
    expect(Math.max(...peaks.map(({ truePeakDbtp }) => truePeakDbtp as number))).toBeLessThan(-1);
    // By the same gain, which is what is said: floats keep their level and show it.
    expect(asIs.headroomDb).toBe(0);
    for (const [i, { truePeakDbtp }] of peaks.entries()) {
      const moved = (truePeakDbtp as number) - (asIs.files[i].truePeakDbtp as number);
      expect(moved).toBeCloseTo(outcome.headroomDb, 4);
      // The loudness that they state is that of the lowered sound.
      const { bext, channels } = readWav(files.get(asIs.files[i].name)!);
      expect(bext?.loudness?.integrated).toBeCloseTo(measure(channels, RATE).integratedLufs!, 2);
    }
    const report = JSON.parse(new TextDecoder().decode(files.get('report.json')));
    expect(report.session.pairHeadroomDb).toBe(outcome.headroomDb);
    expect(report.statements.join()).toContain('Both mixes are written');
    expect(report.sides.match.matched).toBe(true);
  });
});

describe('the report by itself', () => {
  it('comes as HTML, Markdown and JSON', async () => {
    const session = small();
    const texts = await reportJob({ ...jobOf(session) }, page(session.sources).host);
    expect(texts!.html).toContain('<!doctype html>');
    expect(texts!.md).toContain('Harbour Hall');
    expect(JSON.parse(texts!.json).format).toBe('level-best-report');
  });

  it('is none where there is no sound', async () => {
    const session = small();
    expect(await reportJob({ ...jobOf(session) }, page(new Map()).host)).toBeNull();
  });
});

describe('the import check', () => {
  it('finds the clean mix in a file of another rate that starts later', async () => {
    const session = small();
    const { host, files } = page(session.sources);
    await exportJob(jobOf(session, { kinds: ['clean', 'coloured'] }), host);
    const { channels } = readWav(files.get('clean.wav')!);
    const late = channels.map((plane) => {
      const out = new Float32Array(plane.length + 480);
      out.set(plane, 480);
      return out;
    });
    const { host: other, steps } = page(session.sources);
    const check = await checkJob({ document: session.document, mixdown: late, mixdownRate: RATE }, other);
    expect(check.comparison.delaySamples).toBe(480);
    expect(check.verdict).toBe('offset');
    expect(steps).toEqual(['clean-mix', 'comparing']);
    // 240 samples at half the rate are 480 at the session's.
    const half = late.map((plane) => plane.filter((_, i) => i % 2 === 0));
    const slow = await checkJob(
      { document: session.document, mixdown: half, mixdownRate: RATE / 2 },
      page(session.sources).host,
    );
    expect(slow.comparison.delaySamples).toBeCloseTo(480, 0);
  });
});

describe('the sender', () => {
  it('waits while four pieces are not taken', async () => {
    const posted: TakeHomePiece[] = [];
    const sender = new ByteSender((piece) => posted.push(piece));
    let sent = 0;
    const all = (async () => {
      for (let i = 0; i < 8; i++) {
        await sender.append('a', new Uint8Array(1 << 20).fill(i));
        sent++;
      }
    })();
    const settle = () => new Promise((resolve) => setTimeout(resolve, 5));
    await settle();
    expect([posted.length, sent]).toEqual([4, 3]);
    for (let taken = 0; taken < 8; taken++) {
      sender.taken();
      await settle();
    }
    await all;
    expect(posted.map(({ bytes }) => bytes[0])).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
  });
});

describe('faults as sentences', () => {
  it('say what to do', () => {
    expect(faultText(new AudioFileError('It is so; do this.'))).toBe('It is so; do this.');
    expect(faultText(new RangeError('Array buffer allocation failed'))).toContain('not enough memory');
    expect(faultText(new RangeError('WebAssembly.Memory(): could not allocate memory'))).toContain('Close other tabs');
    expect(faultText(new TypeError('x is not a function.'))).toBe(
      'It stopped at a fault of its own (x is not a function). Your session is unchanged; reload the page and try again.',
    );
  });
});
