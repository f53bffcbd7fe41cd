/** Workers that do nothing by themselves, for faults of every kind: the test says what comes of them. */
import { vi } from 'vitest';
import type { Reply, Request } from '../../src/workers/channel.ts';

export interface StubWorker {
  /** What it got, but for pings. */
  readonly got: Request[];
  readonly ended: boolean;
  say(reply: Reply): void;
  /** It stops by itself. */
  stop(): void;
  /** From now on nothing can be sent to it. */
  refuse(): void;
}

/** From here on every Worker is one of these; they are listed in the order they are made. */
export function stubWorkers(): StubWorker[] {
  const made: StubWorker[] = [];
  class Stub implements StubWorker {
    readonly got: Request[] = [];
    ended = false;
    readonly #listeners: [string, (event: { data?: Reply }) => void][] = [];
    #refuses = false;
    constructor() {
      made.push(this);
    }
    postMessage(request: Request): void {
      // As browsers do where memory doesn't hold the copy.
      if (this.#refuses) throw new DOMException('Data cannot be cloned, out of memory.', 'DataCloneError');
      if (request.type !== 'ping') this.got.push(request);
    }
    addEventListener(type: string, listener: (event: { data?: Reply }) => void): void {
      this.#listeners.push([type, listener]);
    }
    terminate(): void {
      this.ended = true;
    }
    say(data: Reply): void {
      this.#tell('message', { data });
    }
    stop(): void {
      this.#tell('error', {});
    }
    refuse(): void {
      this.#refuses = true;
    }
    #tell(type: string, event: { data?: Reply }): void {
      for (const [wanted, listener] of this.#listeners) if (wanted === type) listener(event);
    }
  }
  vi.stubGlobal('Worker', Stub);
  return made;
}

/** The request that a worker works on: the last of this name. */
export function asked({ got }: StubWorker, name: string): Extract<Request, { type: 'ask' }> {
  const found = got.filter((one) => one.type === 'ask').findLast((one) => one.name === name);
  if (!found) throw new Error(`It was not asked for ${name}`);
  return found;
}
