import type { BenchResult } from '../measure/tone-bench/result.ts';
import type { BenchSpec } from '../measure/tone-bench/spec.ts';
import type { FromWorker, ToWorker } from './analysis-protocol.ts';

/** Why a measurement has no result: the same panel asked for another. Not a fault; a panel ignores it. */
export class BenchCancelled extends Error {
  override readonly name = 'BenchCancelled';
}

interface Pending {
  readonly panel: string;
  resolve(result: BenchResult): void;
  reject(reason: Error): void;
}

/** The page's side of the bench: which requests are out, and who waits for them. */
export class BenchRequests {
  private readonly pending = new Map<number, Pending>();
  private id = 0;

  constructor(private readonly send: (message: ToWorker) => void) {}

  ask(spec: BenchSpec, panel: string): Promise<BenchResult> {
    for (const [id, older] of this.pending) {
      if (older.panel !== panel) continue;
      this.pending.delete(id);
      older.reject(new BenchCancelled('A newer measurement took the place of this one.'));
    }
    this.id++;
    const { id } = this;
    return new Promise((resolve, reject) => {
      this.pending.set(id, { panel, resolve, reject });
      this.send({ type: 'bench', id, panel, spec });
    });
  }

  receive(message: Extract<FromWorker, { type: 'benched' | 'benchFailed' }>): void {
    const waiting = this.pending.get(message.id);
    if (!waiting) return;
    this.pending.delete(message.id);
    if (message.type === 'benched') waiting.resolve(message.result);
    else waiting.reject(new Error(message.text));
  }

  /** Nothing will be answered any more. */
  failAll(text: string): void {
    for (const { reject } of this.pending.values()) reject(new Error(text));
    this.pending.clear();
  }
}
