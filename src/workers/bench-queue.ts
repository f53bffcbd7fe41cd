import { BenchError, ToneBench } from '../measure/tone-bench/tone-bench.ts';
import type { FromWorker, ToWorker } from './analysis-protocol.ts';

type BenchRequest = Extract<ToWorker, { type: 'bench' }>;

export interface BenchHost {
  send(message: FromWorker): void;
  /** Lets waiting messages in. */
  breathe(): Promise<void>;
  /** Resolves when nothing more urgent is worked on. */
  idle(): Promise<void>;
  /** ms */
  now(): number;
  /** Work between two looks at the messages, ms. */
  readonly sliceMs: number;
}

/**
 * The measurements that panels have asked for, one after the other in the order they came, each in short slices. A
 * newer request of a panel takes the place of its older one, which is dropped without an answer.
 */
export class BenchQueue {
  private readonly bench = new ToneBench();
  /** In order of arrival, one per panel; what is being measured stays in until it is answered. */
  private readonly requests = new Map<string, BenchRequest>();
  private running = false;

  constructor(private readonly host: BenchHost) {}

  add(request: BenchRequest): void {
    this.requests.delete(request.panel);
    this.requests.set(request.panel, request);
    if (!this.running) void this.work();
  }

  private async work(): Promise<void> {
    this.running = true;
    for (let [next] = this.requests.values(); next; [next] = this.requests.values()) await this.answer(next);
    this.running = false;
  }

  private async answer(request: BenchRequest): Promise<void> {
    const { id, panel } = request;
    const { host } = this;
    const stale = () => this.requests.get(panel) !== request;
    try {
      const job = this.bench.run(request.spec);
      for (;;) {
        await host.breathe();
        await host.idle();
        if (stale()) return;
        const until = host.now() + host.sliceMs;
        do {
          const { done, value } = job.next();
          if (!done) continue;
          host.send({ type: 'benched', id, result: value });
          this.requests.delete(panel);
          return;
        } while (host.now() < until);
      }
    } catch (fault) {
      const reason = fault instanceof Error ? fault.message : String(fault);
      const text =
        fault instanceof BenchError
          ? reason
          : `The bench could not measure this (${reason}). Undo the last step or reload the page.`;
      host.send({ type: 'benchFailed', id, text });
      this.requests.delete(panel);
    }
  }
}
