/** The bench in the worker and the page's side of it: slices, newer requests, faults, documents first. */
import { describe, expect, it } from 'vitest';
import type { BenchResult } from '../../../src/measure/tone-bench/result.ts';
import type { BenchSpec } from '../../../src/measure/tone-bench/spec.ts';
import type { FromWorker, ToWorker } from '../../../src/workers/analysis-protocol.ts';
import { BenchQueue } from '../../../src/workers/bench-queue.ts';
import { BenchCancelled, BenchRequests } from '../../../src/workers/bench-requests.ts';
import { rack, stage } from '../../support/rig.ts';

const spec = (values: Record<string, number> = {}, test: BenchSpec['test'] = 'tone'): BenchSpec => ({
  test,
  rack: rack([stage('soft-clip')]),
  sampleRate: 48_000,
  oversampling: 4,
  alignmentDbfs: -18,
  values,
});

type Bench = Extract<ToWorker, { type: 'bench' }>;
const request = (id: number, panel: string, asked = spec()): Bench => ({ type: 'bench', id, panel, spec: asked });

/** A worker without a worker: `breathe` is where messages come in, one slice takes 8 ms of a clock of its own. */
function host(options: { busy?: () => Promise<void>; onBreath?: (breath: number) => void } = {}) {
  const answers: FromWorker[] = [];
  let time = 0;
  let breaths = 0;
  const queue = new BenchQueue({
    send: (message) => answers.push(message),
    breathe: async () => {
      await new Promise<void>((resolve) => setImmediate(resolve));
      breaths++;
      options.onBreath?.(breaths);
    },
    idle: options.busy ?? (() => Promise.resolve()),
    now: () => {
      time += 2;
      return time;
    },
    sliceMs: 8,
  });
  const until = async (count: number) => {
    while (answers.length < count) await new Promise<void>((resolve) => setImmediate(resolve));
    return answers;
  };
  return { queue, answers, until, breaths: () => breaths };
}

describe('BenchQueue', () => {
  it('answers in slices', async () => {
    const { queue, until, breaths } = host();
    queue.add(request(1, 'a'));
    const [answer] = await until(1);
    expect(answer).toMatchObject({ type: 'benched', id: 1, result: { test: 'tone', sampleRate: 48_000 } });
    expect(breaths()).toBeGreaterThan(2);
  });

  it('a newer request of a panel takes the place of the older one, also while that is measured', async () => {
    const { queue, answers, until } = host({
      onBreath: (breath) => {
        if (breath === 2) queue.add(request(2, 'a', spec({ level: -30 })));
      },
    });
    queue.add(request(1, 'a'));
    await until(1);
    expect(answers.map((answer) => 'id' in answer && answer.id)).toEqual([2]);
    const [answer] = answers;
    expect(answer.type === 'benched' && answer.result.tones[0].inDbfs).toBe(-30);
  });

  it('other panels wait for their turn and lose nothing', async () => {
    const { queue, until } = host();
    queue.add(request(1, 'a'));
    queue.add(request(2, 'b', spec({}, 'smpte')));
    queue.add(request(3, 'c', spec({ frequency: 440 })));
    const answers = await until(3);
    expect(answers.map((answer) => 'id' in answer && answer.id)).toEqual([1, 2, 3]);
  });

  it('what can’t be measured is answered by a sentence, and the next one is measured all the same', async () => {
    const { queue, until } = host();
    queue.add(request(1, 'a', spec({ level: 99 })));
    queue.add(request(2, 'b'));
    const answers = await until(2);
    expect(answers[0]).toEqual({ type: 'benchFailed', id: 1, text: expect.stringMatching(/^level must be .* 99\.$/) });
    expect(answers[1]).toMatchObject({ type: 'benched', id: 2 });
  });

  it('waits while documents are worked on', async () => {
    let free: () => void = () => undefined;
    const worked = new Promise<void>((resolve) => {
      free = resolve;
    });
    const { queue, answers, until } = host({ busy: () => worked });
    queue.add(request(1, 'a'));
    for (let i = 0; i < 50; i++) await new Promise<void>((resolve) => setImmediate(resolve));
    expect(answers).toEqual([]);
    free();
    await until(1);
    expect(answers).toHaveLength(1);
  });
});

describe('BenchRequests', () => {
  const result = { test: 'tone' } as BenchResult;

  it('resolves by id, and rejects the older request of the same panel', async () => {
    const sent: ToWorker[] = [];
    const requests = new BenchRequests((message) => sent.push(message));
    const older = requests.ask(spec(), 'a');
    const other = requests.ask(spec(), 'b');
    const newer = requests.ask(spec({ level: -6 }), 'a');
    await expect(older).rejects.toBeInstanceOf(BenchCancelled);
    expect(sent.map((message) => message.type === 'bench' && [message.id, message.panel])).toEqual([
      [1, 'a'],
      [2, 'b'],
      [3, 'a'],
    ]);
    // A late answer to the older one changes nothing.
    requests.receive({ type: 'benched', id: 1, result });
    requests.receive({ type: 'benched', id: 3, result });
    expect(await newer).toBe(result);
    requests.receive({ type: 'benchFailed', id: 2, text: 'It can’t be measured.' });
    await expect(other).rejects.toThrow('It can’t be measured.');
  });

  it('everything that is out fails when the worker does', async () => {
    const requests = new BenchRequests(() => undefined);
    const a = requests.ask(spec(), 'a');
    const b = requests.ask(spec(), 'b');
    requests.failAll('The analysis stopped.');
    await expect(a).rejects.toThrow('The analysis stopped.');
    await expect(b).rejects.toThrow('The analysis stopped.');
  });
});
