/**
 * Faults of every worker, asked of every client alike: a refusal, a stop while it works or idles, silence, a cancel with
 * what comes late, a message that can't be sent. Nobody waits for ever, and every fault is a sentence that says what to do.
 */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Live } from '../../src/audio/live.ts';
import { readWavAside } from '../../src/audio/read-wav.ts';
import { sessionBenchSpec } from '../../src/measure/tone-bench/session-spec.ts';
import { NOTHING_DBFS } from '../../src/stores/live-store.ts';
import { AnalysisClient } from '../../src/workers/analysis-client.ts';
import { checkedImport, exportedPieces, madeReport } from '../../src/workers/take-home/client.ts';
import { renderTrialSounds } from '../../src/workers/trial-client.ts';
import { smallSession, smallSources } from '../measure/sessions.ts';
import type { StubWorker } from './stub-worker.ts';
import { asked, stubWorkers } from './stub-worker.ts';

/** Looks that a channel takes at a silent worker, and one more. */
const A_MINUTE = 61_000;
/** What a sentence must tell: something to do. */
const TO_DO = /close other tabs|reload the page/i;
const SILENT = smallSources(1);
const SESSION = smallSession();
const ENOUGH = new DOMException('enough', 'AbortError');

let workers: StubWorker[];

interface Row {
  /** The request that is out. */
  readonly request: string;
  /** Whether its worker is started anew when it stops. */
  readonly restarts: boolean;
  /** Asks, by a client of its own; `told` hears what is told on the way. */
  ask(signal: AbortSignal, told: (what: unknown) => void): Promise<unknown>;
  /** Told on the way, and answered. */
  readonly telling?: unknown;
  readonly answer: unknown;
  /** False where nobody can cancel it. */
  readonly cancels?: boolean;
}

/** An analysis whose figures settle or fail. */
function figures(signal: AbortSignal, told: (what: unknown) => void): Promise<unknown> {
  return new Promise((resolve, reject) => {
    const client = new AnalysisClient({
      provisional: told,
      matched: told,
      fault: (text) => {
        expect(client.status).toBe('failed');
        reject(new Error(text));
      },
    });
    client.subscribe(() => {
      if (client.status === 'idle') resolve(client.status);
    });
    // A newer document gives an older one up.
    signal.addEventListener('abort', () => {
      client.update(SESSION, SILENT, null);
      reject(ENOUGH);
    });
    client.load(SESSION, SILENT);
  });
}

const quiet = () => new AnalysisClient({ provisional: () => {}, matched: () => {}, fault: () => {} });

const report = { document: SESSION, factor: 4, program: 'tests', now: new Date(0), trials: [] } as const;
const exported = {
  format: 'wav',
  bits: 24,
  kinds: ['clean'],
  fader: 'before',
  report: false,
  order: 'together',
} as const;
const options = (signal: AbortSignal, told: (what: unknown) => void) => ({
  sources: SILENT,
  signal,
  onProgress: (step: string) => step !== 'gathering' && told(step),
});
const sound = { id: 'a', overdriven: false, planes: [], matchGainDb: 0, residualLu: 0, truePeakDbtp: -3 };

const ROWS: Readonly<Record<string, Row>> = {
  'all figures': { request: 'figures', restarts: true, ask: figures, telling: { share: 0.5 }, answer: null },
  'the tone bench': {
    request: 'bench',
    restarts: true,
    ask: (signal) => {
      const client = quiet();
      const spec = sessionBenchSpec(SESSION, 'melodica', 'tone', {});
      if (!spec) throw new Error('no rack');
      signal.addEventListener('abort', () => void client.bench(spec).catch(() => {}));
      return client.bench(spec);
    },
    answer: {},
  },
  'what a kind does': {
    request: 'kind',
    restarts: true,
    ask: () => quiet().kindFigure('triode', 48_000, -18),
    answer: {},
    cancels: false,
  },
  alignment: {
    request: 'alignment',
    restarts: true,
    ask: () => quiet().alignment(SESSION, ['melodica']),
    answer: {},
    cancels: false,
  },
  resampling: {
    request: 'resample',
    restarts: true,
    ask: () => quiet().resample([new Float32Array(4)], 48_000, 44_100),
    answer: [],
    cancels: false,
  },
  'reading a WAV': {
    request: 'read',
    restarts: true,
    // As large as one that isn't read on the page itself.
    ask: () => readWavAside(new Uint8Array(4e6)),
    answer: { channels: [], sampleRate: 48_000 },
    cancels: false,
  },
  'the sounds of a trial': {
    request: 'render',
    restarts: true,
    ask: (signal, told) =>
      renderTrialSounds(
        {
          document: SESSION,
          loops: new Map(),
          settings: [{ id: 'a', name: 'A', racks: {} }],
          different: [],
          overdriven: [],
          headroomDb: 0,
        },
        told,
        signal,
      ),
    telling: 0.5,
    answer: { sounds: [sound], loudnessLufs: -20 },
  },
  // Its worker was handed the sound, so it can't be started anew.
  'an export': {
    request: 'export',
    restarts: false,
    ask: async (signal, told) => {
      const pieces = exportedPieces({ ...report, ...exported }, options(signal, told));
      for (;;) {
        const { done, value } = await pieces.next();
        if (done) return value;
        told(value);
      }
    },
    telling: { name: 'clean.wav', bytes: new Uint8Array(1) },
    answer: {},
  },
  'a report': {
    request: 'report',
    restarts: false,
    ask: (signal, told) => madeReport(report, options(signal, told)),
    telling: { step: 'report', share: 0.5 },
    answer: null,
  },
  'an import check': {
    request: 'check',
    restarts: false,
    ask: (signal, told) =>
      checkedImport({ document: SESSION, mixdown: [new Float32Array(4)], mixdownRate: 48_000 }, options(signal, told)),
    telling: { step: 'comparing', share: null },
    answer: {},
  },
};

beforeEach(() => {
  vi.useFakeTimers();
  vi.stubGlobal('navigator', { hardwareConcurrency: 1 });
  workers = stubWorkers();
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

/** Messages and promises come through. */
const settle = () => vi.advanceTimersByTimeAsync(50);

describe.each(Object.entries(ROWS))('%s', (_, row) => {
  const { request, restarts, telling, answer, cancels = true } = row;

  /** Asked, as far as the worker's work on it. */
  async function begun() {
    const controller = new AbortController();
    const told: unknown[] = [];
    let fault: unknown = null;
    let answered = false;
    row
      .ask(controller.signal, (what) => told.push(what))
      .then(
        () => {
          answered = true;
        },
        (reason) => {
          fault = reason;
        },
      );
    await settle();
    const worker = () => workers.at(-1) as StubWorker;
    const { id } = asked(worker(), request);
    return { controller, told, worker, id, fault: () => fault as Error | null, answered: () => answered };
  }

  it('is answered, and told on the way', async () => {
    const { worker, id, told, answered, fault } = await begun();
    if (telling !== undefined) worker().say({ type: 'told', id, told: telling });
    worker().say({ type: 'answer', id, answer });
    await settle();
    expect([fault(), answered()]).toEqual([null, true]);
    if (telling !== undefined && request !== 'figures') expect(told).toHaveLength(1);
  });

  it('is refused with the worker’s own sentence', async () => {
    const { worker, id, fault } = await begun();
    worker().say({ type: 'fault', id, text: 'It can’t be done. Reload the page.' });
    await settle();
    expect(fault()?.message).toBe('It can’t be done. Reload the page.');
  });

  if (restarts) {
    it('is asked again of another worker where the first one stops, and answered', async () => {
      const { worker, fault, answered } = await begun();
      worker().stop();
      await settle();
      expect([workers.length, workers[0].ended, fault()]).toEqual([2, true, null]);
      worker().say({ type: 'answer', id: asked(worker(), request).id, answer });
      await settle();
      expect([fault(), answered()]).toEqual([null, true]);
    });
  }

  it('ends with a sentence where its worker stops for good', async () => {
    const { worker, fault } = await begun();
    worker().stop();
    if (restarts) worker().stop();
    await settle();
    expect(fault()?.message).toMatch(TO_DO);
    expect(workers.map(({ ended }) => ended)).toEqual(workers.map(() => true));
    await settle();
    expect(vi.getTimerCount()).toBe(0);
  });

  it('ends with the same sentence where its worker never answers', async () => {
    const { fault } = await begun();
    // Twice for one that is started anew; the longest pieces of an export take longer.
    await vi.advanceTimersByTimeAsync(A_MINUTE * (restarts ? 2 : 10) + 2000);
    expect(workers).toHaveLength(restarts ? 2 : 1);
    expect(fault()?.message).toMatch(TO_DO);
    expect(vi.getTimerCount()).toBe(0);
  });

  if (cancels) {
    it('is given up at once by a cancel, and what comes late is nobody’s', async () => {
      const { controller, worker, id, told, fault } = await begun();
      const first = worker();
      controller.abort(ENOUGH);
      await settle();
      expect(fault()?.name).toBe('AbortError');
      if (!first.ended) expect(first.got).toContainEqual({ type: 'cancel', id });
      if (telling !== undefined) first.say({ type: 'told', id, told: telling });
      first.say({ type: 'answer', id, answer });
      first.say({ type: 'fault', id, text: 'late' });
      if (first.ended) first.stop();
      await settle();
      expect([told, workers.length]).toEqual([[], 1]);
    });
  }

  it('ends with a sentence where it can’t be sent', async () => {
    const Plain = globalThis.Worker;
    vi.stubGlobal('Worker', function Refusing() {
      const worker = new Plain('');
      (worker as unknown as StubWorker).refuse();
      return worker;
    });
    let fault: unknown = null;
    row
      .ask(new AbortController().signal, () => {})
      .catch((reason) => {
        fault = reason;
      });
    await settle();
    expect((fault as unknown as Error).message).toMatch(/not enough memory.*Close other tabs/);
  });
});

describe('the analysis', () => {
  const said: string[] = [];
  const client = () => {
    said.length = 0;
    return new AnalysisClient({ provisional: () => {}, matched: () => {}, fault: (text) => said.push(text) });
  };

  it('tells another worker all it must know, in order, and asks it for what is newest', async () => {
    const analysis = client();
    analysis.load(SESSION, SILENT);
    analysis.update(SESSION, SILENT, 'melodica');
    workers[0].stop();
    const got = workers[1].got.map((one) => ('name' in one ? one.name : one.type));
    expect(got).toEqual(['configure', ...[...SILENT.keys()].map(() => 'source'), 'figures']);
    expect(asked(workers[1], 'figures').ask).toMatchObject({ moved: 'melodica' });
    expect([analysis.status, said]).toEqual(['working', []]);
  });

  it('that stops while nothing is asked of it is whole at the next move', async () => {
    const analysis = client();
    analysis.load(SESSION, SILENT);
    workers[0].say({ type: 'answer', id: 1, answer: null });
    await settle();
    workers[0].stop();
    expect([analysis.status, said]).toEqual(['idle', []]);
    analysis.update(SESSION, SILENT, null);
    expect(workers[1].got.map((one) => ('name' in one ? one.name : one.type)).slice(0, 2)).toEqual([
      'configure',
      'source',
    ]);
  });

  it('that stopped for good says so once, and is never at work again', async () => {
    const analysis = client();
    analysis.load(SESSION, SILENT);
    workers[0].stop();
    workers[1].stop();
    await settle();
    expect([analysis.status, said.length]).toEqual(['failed', 1]);
    analysis.update(SESSION, SILENT, 'melodica');
    await settle();
    expect([analysis.status, said.length, workers.length]).toEqual(['failed', 1, 2]);
    await expect(analysis.alignment(SESSION, [])).rejects.toThrow(said[0]);
  });

  it('hears a provisional gain of a document that is no longer the newest', async () => {
    const heard: string[] = [];
    const analysis = new AnalysisClient({
      provisional: (rackId) => heard.push(rackId),
      matched: () => {},
      fault: () => {},
    });
    analysis.load(SESSION, SILENT);
    analysis.update(SESSION, SILENT, 'melodica');
    analysis.update(SESSION, SILENT, 'melodica');
    const match = { gainDb: -2 };
    workers[0].say({ type: 'news', name: 'provisional', news: { rackId: 'melodica', match } });
    expect(heard).toEqual(['melodica']);
    expect(analysis.rack('melodica')?.match).toBe(match);
  });
});

describe('the live analyser', () => {
  const frame = { rackId: 'melodica', cleanPeakDbfs: -3, colouredPeakDbfs: NOTHING_DBFS };
  const block = () => new ArrayBuffer(64);
  function playing() {
    const back: number[] = [];
    const live = new Live((buffer) => back.push(buffer.byteLength));
    live.configure({ ...live.settings, peakHold: true });
    live.reset('melodica');
    for (let i = 0; i < 3; i++) live.push(block(), 48_000, { at: i, settings: 1 });
    return { live, back };
  }
  const answer = (worker: StubWorker) =>
    worker.say({ type: 'news', name: 'frame', news: { frame, start: 1, buffer: block() } });

  it('is started anew with its settings and its rack, and the engine gets other buffers for those that went', () => {
    const { live, back } = playing();
    answer(workers[0]);
    expect(back).toEqual([64]);
    workers[0].stop();
    expect(back).toEqual([64, 64, 64]);
    expect(workers[1].got).toEqual([
      { type: 'note', name: 'settings', note: { ...live.settings, peakHold: true } },
      { type: 'note', name: 'reset', note: { rackId: 'melodica', start: 1 } },
    ]);
    live.push(block(), 48_000, { at: 3, settings: 1 });
    answer(workers[1]);
    expect([live.latest, live.fault, back.length]).toEqual([frame, null, 4]);
  });

  it.each(['stops', 'says nothing any more'])('says so where it %s again, and gives every block back', async (how) => {
    const { live, back } = playing();
    let told = 0;
    live.subscribe(() => told++);
    for (let count = 0; count < 2; count++) {
      live.push(block(), 48_000, { at: 4, settings: 1 });
      if (how === 'stops') workers[count].stop();
      else await vi.advanceTimersByTimeAsync(A_MINUTE);
    }
    expect(live.fault).toMatch(TO_DO);
    expect([live.latest, told, workers.length]).toEqual([null, 1, 2]);
    const before = back.length;
    live.push(block(), 48_000, { at: 5, settings: 1 });
    expect([before, back.length]).toEqual([5, 6]);
  });

  it('hears nothing of a start before', () => {
    const { live } = playing();
    live.reset('accordion');
    answer(workers[0]);
    expect(live.latest).toBeNull();
  });
});
