/** The analysis worker itself, with a page in its place: the bench and the documents side by side. */
import { beforeAll, describe, expect, it } from 'vitest';
import { sine } from '../../../src/dsp/tones.ts';
import { sessionBenchSpec } from '../../../src/measure/tone-bench/session-spec.ts';
import type { SessionDocument } from '../../../src/session/document.ts';
import { emptyRack, emptySession, newChannel } from '../../../src/session/document.ts';
import type { FromWorker, ToWorker } from '../../../src/workers/analysis-protocol.ts';

const RATE = 48_000;
const answers: FromWorker[] = [];
let tell: (message: ToWorker) => void;

function session(): SessionDocument {
  const stages = [{ id: 's', kind: 'soft-clip', on: true, params: { drive: 0, bias: 20 }, notes: '' }];
  return { ...emptySession(RATE), channels: [newChannel('drum', 'Frame drum', { rack: { ...emptyRack(), stages } })] };
}

async function until(found: () => boolean): Promise<void> {
  while (!found()) await new Promise<void>((resolve) => setImmediate(resolve));
}

const has = (type: FromWorker['type'], key: 'id' | 'serial', value: number) =>
  answers.some((answer) => answer.type === type && (answer as unknown as Record<string, unknown>)[key] === value);

beforeAll(async () => {
  const scope = globalThis as unknown as Record<string, unknown>;
  const listeners: ((event: { data: ToWorker }) => void)[] = [];
  scope.addEventListener = (_type: string, listener: (event: { data: ToWorker }) => void) => listeners.push(listener);
  scope.postMessage = (message: FromWorker) => answers.push(structuredClone(message));
  // By a name that the compiler doesn't follow: the worker is written with the browser's types.
  const worker: string = '../../../src/workers/analysis.worker.ts';
  await import(worker);
  tell = (data) => {
    for (const listener of listeners) listener({ data: structuredClone(data) });
  };
  tell({ type: 'configure', sampleRate: RATE, alignmentDbfs: -18 });
  tell({ type: 'source', channelId: 'drum', planes: [Float32Array.from(sine(4 * RATE, RATE, 220, 0.2))] });
});

describe('bench and documents in one worker', () => {
  const document = session();
  const bench = (id: number, values: Record<string, number> = {}, panel = 'bench') => {
    const spec = sessionBenchSpec(document, 'drum', 'tone', values);
    if (!spec) throw new Error('no rack');
    tell({ type: 'bench', id, panel, spec });
  };
  const show = (serial: number) => tell({ type: 'document', document, moved: null, selected: 'drum', serial });

  it('a measurement without a document', async () => {
    bench(1);
    await until(() => has('benched', 'id', 1));
    const answer = answers.find((message) => message.type === 'benched');
    expect(answer?.type === 'benched' && answer.result.tones[0].outDbfs).toBeCloseTo(-18, 0);
  });

  it('a document that comes in the middle is answered first, and completely', async () => {
    bench(2);
    show(1);
    await until(() => has('benched', 'id', 2) && has('details', 'serial', 1));
    const order = answers.filter((answer) => answer.type !== 'progress').map(({ type }) => type);
    expect(order.slice(-3)).toEqual(['exact', 'details', 'benched']);
  });

  it('neither loses an answer, and the newest of each is answered', async () => {
    show(2);
    bench(3);
    bench(4, { level: -24 });
    bench(5, { level: -30 }, 'other');
    show(3);
    await until(() => has('details', 'serial', 3) && has('benched', 'id', 4) && has('benched', 'id', 5));
    expect(has('benched', 'id', 3)).toBe(false);
    const exact = answers.filter((answer) => answer.type === 'exact');
    const first = exact[0].type === 'exact' ? exact[0].result : null;
    const last = exact.at(-1);
    expect(last?.type === 'exact' && last.result?.racks).toEqual(first?.racks);
  });

  it('a fault of the bench is a sentence and leaves the documents alone', async () => {
    bench(6, { frequency: 40_000 });
    show(4);
    await until(() => has('benchFailed', 'id', 6) && has('details', 'serial', 4));
    expect(answers.find((answer) => answer.type === 'benchFailed')).toMatchObject({
      text: expect.stringMatching(/below half the sample rate/),
    });
    expect(answers.some(({ type }) => type === 'failed')).toBe(false);
  });
});
