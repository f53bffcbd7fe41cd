/** The export's worker in a real browser: a small session to its end, and ended in the middle. */
import { expect } from '@open-wc/testing';
import { seededRandom } from '../../src/dsp/random.ts';
import { emptySession, newChannel, type SessionDocument } from '../../src/session/document.ts';
import { WorkerFault } from '../../src/workers/channel.ts';
import type { JobOptions } from '../../src/workers/take-home/client.ts';
import { checkedImport, exportedPieces } from '../../src/workers/take-home/client.ts';
import type { ExportJob } from '../../src/workers/take-home/protocol.ts';
import { rack, stage } from './fixture/session.ts';

const RATE = 48_000;

function session(seconds: number): { document: SessionDocument; sources: JobOptions['sources'] } {
  const random = seededRandom(7);
  const plane = Float32Array.from({ length: seconds * RATE }, () => 0.2 * (random() - 0.5));
  const strip = { rack: rack([stage('s', 'soft-clip', { drive: 6, bias: 30 })]) };
  const document = { ...emptySession(RATE, 'Harbour Hall'), channels: [newChannel('reeds', 'Reeds', strip)] };
  return { document, sources: new Map([['reeds', [plane]]]) };
}

const jobOf = (document: SessionDocument, over: Partial<ExportJob> = {}): ExportJob => ({
  document,
  factor: 4,
  format: 'wav',
  bits: 'float',
  kinds: ['clean', 'coloured'],
  report: true,
  order: 'one-by-one',
  program: 'Level Best test',
  now: new Date(Date.UTC(2026, 0, 2)),
  trials: [],
  ...over,
});

function options(sources: JobOptions['sources']) {
  const controller = new AbortController();
  const steps: string[] = [];
  const onProgress: JobOptions['onProgress'] = (step) => {
    if (steps.at(-1) !== step) steps.push(step);
  };
  return { controller, steps, options: { sources, signal: controller.signal, onProgress } };
}

async function filesOf(pieces: ReturnType<typeof exportedPieces>) {
  const files = new Map<string, number[]>();
  for (;;) {
    const { done, value } = await pieces.next();
    if (done) return { outcome: value, files };
    const file = files.get(value.name) ?? [];
    files.set(value.name, file);
    for (const byte of value.bytes) file.push(byte);
  }
}

describe('the export worker', () => {
  it('gives every file, and the page keeps its own sound', async () => {
    const { document, sources } = session(1);
    const made = options(sources);
    const { outcome, files } = await filesOf(exportedPieces(jobOf(document), made.options));
    expect([...files.keys()]).to.deep.equal(['clean.wav', 'coloured.wav', 'report.html', 'report.md', 'report.json']);
    expect(made.steps).to.deep.equal(['gathering', 'matching', 'rendering', 'report']);
    expect(outcome.files.map(({ bytes }) => bytes)).to.deep.equal([...files.values()].map(({ length }) => length));
    const [plane] = sources.get('reeds')!;
    // Handed over, it would be empty here. Without a stage a channel comes out as it went in, at the same sample.
    expect(plane.length).to.equal(RATE);
    const bytes = new Uint8Array(files.get('clean.wav')!);
    // The samples are the end of a WAV: two floats a frame.
    const samples = new Float32Array(bytes.slice(-8 * outcome.frames).buffer);
    expect(plane.every((x, i) => x === samples[2 * i])).to.equal(true);
  });

  it('writes FLAC, whose library comes with the worker', async () => {
    const { document, sources } = session(1);
    const job = jobOf(document, { format: 'flac', bits: 24, kinds: ['clean'], report: false });
    const { files } = await filesOf(exportedPieces(job, options(sources).options));
    // The browser's own decoder is the judge.
    const context = new OfflineAudioContext(1, 1, RATE);
    const sound = await context.decodeAudioData(new Uint8Array(files.get('clean.flac')!).buffer);
    const [plane] = sources.get('reeds')!;
    const decoded = sound.getChannelData(0);
    let most = 0;
    for (let i = 0; i < RATE; i++) most = Math.max(most, Math.abs(decoded[i] - plane[i]));
    expect(most).to.be.at.most(2 ** -23);
  });

  it('ends at once when it is cancelled, in whatever it is', async () => {
    const { document, sources } = session(20);
    for (const at of ['gathering', 'matching', 'rendering']) {
      const made = options(sources);
      const reason = new DOMException('enough', 'AbortError');
      const onProgress: JobOptions['onProgress'] = (step) => {
        if (step === at) made.controller.abort(reason);
      };
      let fault: unknown = null;
      try {
        await filesOf(exportedPieces(jobOf(document), { ...made.options, onProgress }));
      } catch (thrown) {
        fault = thrown;
      }
      expect(fault, at).to.equal(reason);
    }
  });

  it('says in a sentence what cannot be done', async () => {
    const { document } = session(1);
    let fault: unknown = null;
    try {
      await filesOf(exportedPieces(jobOf(document, { report: false }), options(new Map()).options));
    } catch (thrown) {
      fault = thrown;
    }
    expect(fault).to.be.instanceOf(WorkerFault);
    expect((fault as Error).message).to.contain('There is no sound to write');
  });

  it('compares the clean mix with a mixdown', async () => {
    const { document, sources } = session(2);
    const [plane] = sources.get('reeds')!;
    const louder = plane.map((x) => 2 * x);
    const { comparison, verdict } = await checkedImport(
      { document, mixdown: [louder], mixdownRate: RATE },
      options(sources).options,
    );
    expect(verdict).to.equal('offset');
    expect(comparison.gainDb).to.be.closeTo(20 * Math.log10(2), 1e-6);
  });
});
