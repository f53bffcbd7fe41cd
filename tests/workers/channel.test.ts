/** Faults, cancels and late answers of every worker, once for all: both ends of the channel over messages that are copied. */
import { describe, expect, it } from 'vitest';
import { runSteps } from '../../src/render/run-steps.ts';
import type { Reply, Request } from '../../src/workers/channel.ts';
import { WorkerChannel, WorkerFault } from '../../src/workers/channel.ts';
import type { Service } from '../../src/workers/serve.ts';
import { Handed, serve } from '../../src/workers/serve.ts';

interface Sums {
  asks: {
    sum: { ask: readonly number[]; told: number; answer: number };
    plane: { ask: number; told: never; answer: Float32Array };
    never: { ask: null; told: never; answer: never };
  };
  notes: { offset: number };
  news: { heard: string };
}

const STOPPED = 'It stopped. Reload the page.';

function pair(over: Partial<Service<Sums>['asks']> = {}) {
  const page: ((event: { data: Reply }) => void)[] = [];
  const stops: (() => void)[] = [];
  const scope: ((event: { data: Request }) => void)[] = [];
  const toWorker: Request[] = [];
  const toPage: Reply[] = [];
  const aborted: unknown[] = [];
  let ended = false;
  let offset = 0;
  const deliver = <T>(listeners: ((event: { data: T }) => void)[], data: T, transfer: ArrayBufferLike[]) => {
    const copy = structuredClone(data, { transfer: transfer as ArrayBuffer[] });
    queueMicrotask(() => {
      for (const listener of listeners) listener({ data: copy });
    });
  };
  const news = serve<Sums>(
    {
      asks: {
        sum: async (numbers, { tell, signal }) => {
          let sum = offset;
          function* steps(): Generator<void, number> {
            for (const number of numbers) {
              if (Number.isNaN(number)) throw new RangeError('not a number');
              sum += number;
              tell(sum);
              yield;
            }
            return sum;
          }
          return runSteps(steps(), signal, { stretchMs: 0 }).catch((fault) => {
            if (signal.aborted) aborted.push(numbers);
            throw fault;
          });
        },
        plane: (frames) => {
          const plane = new Float32Array(frames).fill(1);
          return new Handed(plane, [plane.buffer]);
        },
        never: () => new Promise<never>(() => undefined),
        ...over,
      },
      notes: {
        offset: (by) => {
          offset = by;
          news('heard', `by ${by}`);
        },
      },
      faultText: (fault, name) => `No ${name}: ${(fault as Error).message}.`,
    },
    {
      addEventListener: (_, listener) => scope.push(listener),
      postMessage: (message, transfer) => {
        toPage.push(message);
        deliver(page, message, transfer);
      },
    },
  );
  const heard: string[] = [];
  const stopped: WorkerFault[] = [];
  const channel = new WorkerChannel<Sums>(
    {
      addEventListener: (type: string, listener: never) => (type === 'message' ? page : stops).push(listener),
      postMessage: (message: Request, transfer: ArrayBufferLike[]) => {
        toWorker.push(message);
        if (!ended) deliver(scope, message, transfer);
      },
      terminate: () => {
        ended = true;
      },
    },
    STOPPED,
    { heard: (text) => heard.push(text) },
    (fault) => stopped.push(fault),
  );
  return { channel, toWorker, toPage, heard, stopped, aborted, hasEnded: () => ended, stop: () => stops[0]?.(), page };
}

const tasks = () => new Promise((resolve) => setTimeout(resolve, 20));

describe('a worker channel', () => {
  it('answers, tells on the way, and keeps requests apart', async () => {
    const { channel } = pair();
    const told: number[] = [];
    const [one, other] = await Promise.all([
      channel.ask('sum', [1, 2, 3], { onTold: (sum) => told.push(sum) }),
      channel.ask('sum', [10, 20]),
    ]);
    expect([one, other, told]).toEqual([6, 30, [1, 3, 6]]);
  });

  it('notes in order before what is asked, and hears news', async () => {
    const { channel, heard } = pair();
    channel.note('offset', 100);
    expect(await channel.ask('sum', [1])).toBe(101);
    expect(heard).toEqual(['by 100']);
  });

  it('hands buffers over both ways', async () => {
    const { channel } = pair();
    expect(await channel.ask('plane', 4)).toEqual(new Float32Array(4).fill(1));
    const numbers = new Float64Array(3).fill(2);
    await channel.ask('sum', numbers as unknown as number[], { transfer: [numbers.buffer] });
    expect(numbers.length).toBe(0);
  });

  it('refuses with the sentence of a fault, and works on', async () => {
    const { channel } = pair();
    const refused = await channel.ask('sum', [1, Number.NaN]).catch((fault) => fault);
    expect(refused).toBeInstanceOf(WorkerFault);
    expect(refused.message).toBe('No sum: not a number.');
    expect(await channel.ask('sum', [1])).toBe(1);
  });

  it('rejects a cancelled request at once with its reason, stops the work, and drops what comes late', async () => {
    const { channel, aborted, toPage, page } = pair();
    const controller = new AbortController();
    const told: number[] = [];
    const asked = channel.ask('sum', new Array(50).fill(1), {
      signal: controller.signal,
      onTold: (sum) => told.push(sum),
    });
    await new Promise((resolve) => setTimeout(resolve, 2));
    const before = told.length;
    controller.abort(new DOMException('no longer wanted', 'AbortError'));
    await expect(asked).rejects.toThrow('no longer wanted');
    await tasks();
    expect(aborted).toHaveLength(1);
    expect(toPage.filter(({ type }) => type === 'answer' || type === 'fault')).toEqual([]);
    // What was under way when the page gave up.
    for (const listener of page) {
      listener({ data: { type: 'told', id: 1, told: 99 } });
      listener({ data: { type: 'answer', id: 1, answer: 99 } });
      listener({ data: { type: 'fault', id: 1, text: 'late' } });
    }
    expect(told).toHaveLength(before);
  });

  it('sends nothing where it was cancelled before it was asked', async () => {
    const { channel, toWorker } = pair();
    await expect(channel.ask('sum', [1], { signal: AbortSignal.abort(new Error('before')) })).rejects.toThrow('before');
    expect(toWorker).toEqual([]);
  });

  it('says nothing of a cancel once it is answered', async () => {
    const { channel, toWorker } = pair();
    const controller = new AbortController();
    await channel.ask('sum', [1], { signal: controller.signal });
    controller.abort();
    expect(toWorker.map(({ type }) => type)).toEqual(['ask']);
  });

  it('refuses all that wait, and all that come, when the worker stops by itself', async () => {
    const { channel, stop, stopped, hasEnded } = pair();
    const waiting = [channel.ask('never', null), channel.ask('never', null)].map((one) => one.catch(String));
    await tasks();
    stop();
    stop();
    expect(await Promise.all(waiting)).toEqual([`Error: ${STOPPED}`, `Error: ${STOPPED}`]);
    await expect(channel.ask('sum', [1])).rejects.toThrow(STOPPED);
    expect(stopped).toHaveLength(1);
    expect(hasEnded()).toBe(true);
  });

  it('ends the worker at once, with a reason for who waits', async () => {
    const { channel, hasEnded, stopped } = pair();
    const asked = channel.ask('never', null);
    channel.end(new Error('cancelled by the user'));
    await expect(asked).rejects.toThrow('cancelled by the user');
    expect(hasEnded()).toBe(true);
    expect(stopped).toEqual([]);
  });
});

describe('running steps', () => {
  it('ends the steps where it is cancelled, between two of them', async () => {
    const controller = new AbortController();
    const done: string[] = [];
    function* steps(): Generator<void, string> {
      try {
        for (;;) {
          done.push('step');
          yield;
        }
      } finally {
        done.push('ended');
      }
    }
    const pause = async () => {
      if (done.length === 3) controller.abort(new Error('enough'));
    };
    await expect(runSteps(steps(), controller.signal, { stretchMs: 0, pause })).rejects.toThrow('enough');
    expect(done).toEqual(['step', 'step', 'step', 'ended']);
  });

  it('passes a fault on, and counts its steps', async () => {
    const counts: number[] = [];
    function* steps(): Generator<void, never> {
      yield;
      yield;
      throw new Error('broken');
    }
    await expect(runSteps(steps(), undefined, { onStep: (count) => counts.push(count) })).rejects.toThrow('broken');
    expect(counts).toEqual([1, 2]);
  });
});
