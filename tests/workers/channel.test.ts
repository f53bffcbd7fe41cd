/** Faults, cancels and late answers of every worker, once for all: both ends of the channel over messages that are copied. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
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

interface Options {
  readonly asks?: Partial<Service<Sums>['asks']>;
  /** Whether the worker is started anew. */
  readonly restarts?: boolean;
}

/** Both ends of a channel; every worker that is started serves the same. */
function pair({ asks = {}, restarts = false }: Options = {}) {
  const workers: { say(reply: Reply): void; stop(): void; ended: boolean }[] = [];
  const toWorker: Request[] = [];
  const toPage: Reply[] = [];
  const aborted: unknown[] = [];
  const deliver = <T>(listeners: ((event: { data: T }) => void)[], data: T, transfer: ArrayBufferLike[]) => {
    const copy = structuredClone(data, { transfer: transfer as ArrayBuffer[] });
    queueMicrotask(() => {
      for (const listener of listeners) listener({ data: copy });
    });
  };
  const start = () => {
    const page: ((event: { data: Reply }) => void)[] = [];
    const stops: (() => void)[] = [];
    const scope: ((event: { data: Request }) => void)[] = [];
    let offset = 0;
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
          ...asks,
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
        addEventListener: (type: string, listener: never) => {
          if (type === 'message') scope.push(listener);
        },
        postMessage: (message, transfer) => {
          toPage.push(message);
          deliver(page, message, transfer);
        },
      },
    );
    const worker = {
      ended: false,
      say: (reply: Reply) => {
        for (const listener of page) listener({ data: reply });
      },
      stop: () => {
        for (const listener of stops) listener();
      },
    };
    workers.push(worker);
    return {
      addEventListener: (type: string, listener: never) => (type === 'message' ? page : stops).push(listener),
      postMessage: (message: Request, transfer: ArrayBufferLike[]) => {
        toWorker.push(message);
        if (!worker.ended) deliver(scope, message, transfer);
      },
      terminate: () => {
        worker.ended = true;
      },
    };
  };
  const heard: string[] = [];
  const stopped: WorkerFault[] = [];
  const channel: WorkerChannel<Sums> = new WorkerChannel<Sums>(start, {
    stopped: STOPPED,
    news: { heard: (text) => heard.push(text) },
    onStopped: (fault) => stopped.push(fault),
    ...(restarts ? { restore: () => channel.note('offset', 1000) } : {}),
  });
  return { channel, workers, toWorker, toPage, heard, stopped, aborted };
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
    const { channel, aborted, toPage, workers } = pair();
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
    workers[0].say({ type: 'told', id: 1, told: 99 });
    workers[0].say({ type: 'answer', id: 1, answer: 99 });
    workers[0].say({ type: 'fault', id: 1, text: 'late' });
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
    const { channel, workers, stopped } = pair();
    const waiting = [channel.ask('never', null), channel.ask('never', null)].map((one) => one.catch(String));
    await tasks();
    workers[0].stop();
    workers[0].stop();
    expect(await Promise.all(waiting)).toEqual([`Error: ${STOPPED}`, `Error: ${STOPPED}`]);
    await expect(channel.ask('sum', [1])).rejects.toThrow(STOPPED);
    expect(stopped).toHaveLength(1);
    expect(workers.map(({ ended }) => ended)).toEqual([true]);
  });

  it('ends the worker at once, with a reason for who waits', async () => {
    const { channel, workers, stopped } = pair();
    const asked = channel.ask('never', null);
    channel.end(new Error('cancelled by the user'));
    await expect(asked).rejects.toThrow('cancelled by the user');
    expect(workers[0].ended).toBe(true);
    expect(stopped).toEqual([]);
  });

  it('says in a sentence what cannot be sent or answered, and works on', async () => {
    const { channel } = pair({ asks: { plane: () => (() => undefined) as never } });
    // A function is what no message holds, as is an array that memory has no room for.
    const unsent = await channel.ask('sum', [(() => 1) as never]).catch((fault) => fault);
    expect(unsent).toBeInstanceOf(WorkerFault);
    expect(unsent.message).toMatch(/not enough memory.*Close other tabs/);
    expect(() => channel.note('offset', (() => 1) as never)).toThrow(WorkerFault);
    await expect(channel.ask('plane', 1)).rejects.toThrow(/^No plane: .*could not be cloned/);
    expect(await channel.ask('sum', [1, 2])).toBe(3);
  });
});

describe('a worker that may be started anew', () => {
  it('is, with what it must know, and is asked again what it owes', async () => {
    const { channel, workers, stopped } = pair({ restarts: true });
    const told: number[] = [];
    const asked = channel.ask('sum', [1, 2], { onTold: (sum) => told.push(sum) });
    workers[0].stop();
    expect(await asked).toBe(1003);
    expect([workers.length, workers[0].ended, stopped.length]).toEqual([2, true, 0]);
    // What the old one still says, or another fault of it, is nobody's.
    workers[0].say({ type: 'answer', id: 1, answer: 5 });
    workers[0].stop();
    expect(workers).toHaveLength(2);
    expect(told.slice(-2)).toEqual([1001, 1003]);
  });

  it('is once for what it was asked: the second time all are refused, and told so once', async () => {
    const { channel, workers, stopped } = pair({ restarts: true });
    const waiting = [channel.ask('never', null), channel.ask('never', null)].map((one) => one.catch(String));
    workers[0].stop();
    workers[1].stop();
    expect(await Promise.all(waiting)).toEqual([`Error: ${STOPPED}`, `Error: ${STOPPED}`]);
    await expect(channel.ask('sum', [1])).rejects.toThrow(STOPPED);
    expect([workers.length, workers[1].ended, stopped.length]).toEqual([2, true, 1]);
  });

  it('may be again once everything was answered', async () => {
    const { channel, workers } = pair({ restarts: true });
    for (let count = 1; count <= 3; count++) {
      const asked = channel.ask('sum', [count]);
      workers.at(-1)?.stop();
      expect(await asked).toBe(1000 + count);
      expect(workers).toHaveLength(count + 1);
    }
  });

  it('is where it stops with nothing to do', async () => {
    const { channel, workers, toWorker } = pair({ restarts: true });
    workers[0].stop();
    expect(toWorker.map(({ type }) => type)).toEqual(['note']);
    expect(await channel.ask('sum', [1])).toBe(1001);
  });

  it('refuses what it was handed and can not be given twice', async () => {
    const { channel, workers } = pair({ restarts: true });
    const numbers = new Float64Array(3);
    const handed = channel.ask('sum', numbers as unknown as number[], { transfer: [numbers.buffer] });
    const other = channel.ask('sum', [1]);
    workers[0].stop();
    await expect(handed).rejects.toThrow(STOPPED);
    expect(await other).toBe(1001);
  });

  it('asks nothing again that was given up', async () => {
    const { channel, workers, toWorker } = pair({ restarts: true });
    const controller = new AbortController();
    const asked = channel.ask('never', null, { signal: controller.signal });
    controller.abort(new Error('enough'));
    await expect(asked).rejects.toThrow('enough');
    workers[0].stop();
    expect(toWorker.map(({ type }) => type)).toEqual(['ask', 'cancel', 'note']);
  });
});

describe('a worker that says nothing any more', () => {
  const LOOKS = 61_000;
  beforeEach(() => {
    vi.useFakeTimers();
  });
  afterEach(() => {
    vi.useRealTimers();
  });
  /** The worker's end is gone, without a word. */
  const silence = ({ workers }: ReturnType<typeof pair>) => {
    for (const worker of workers) worker.ended = true;
  };

  it('counts as stopped after a minute’s looks', async () => {
    const made = pair();
    const asked = made.channel.ask('never', null).catch(String);
    silence(made);
    await vi.advanceTimersByTimeAsync(LOOKS - 2000);
    expect(made.stopped).toEqual([]);
    await vi.advanceTimersByTimeAsync(2000);
    expect(await asked).toBe(`Error: ${STOPPED}`);
    expect(vi.getTimerCount()).toBe(0);
  });

  it('is started anew, and answers', async () => {
    const made = pair({ restarts: true });
    silence(made);
    const asked = made.channel.ask('sum', [1]);
    await vi.advanceTimersByTimeAsync(LOOKS);
    await vi.advanceTimersByTimeAsync(1000);
    expect(await asked).toBe(1001);
  });

  it('may work for as long as it likes where it still hears', async () => {
    const made = pair();
    const asked = made.channel.ask('never', null).catch(String);
    await vi.advanceTimersByTimeAsync(3_600_000);
    expect(made.stopped).toEqual([]);
    made.channel.end(new Error('enough'));
    expect(await asked).toBe('Error: enough');
  });

  it('is not looked at once it owes nothing', async () => {
    const { channel, toWorker } = pair();
    channel.note('offset', 1);
    await channel.ask('sum', []);
    await vi.advanceTimersByTimeAsync(1000);
    expect(vi.getTimerCount()).toBe(0);
    expect(toWorker.map(({ type }) => type)).toEqual(['note', 'ask']);
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
