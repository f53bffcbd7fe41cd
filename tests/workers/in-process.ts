/** A worker's script in this process: the page's clients and the worker itself, with messages that are copied. */
import { vi } from 'vitest';
import type { Reply, Request, WorkerLike } from '../../src/workers/channel.ts';

class FairChannel {
  readonly port2: { onmessage: () => void } = { onmessage: () => undefined };
  readonly port1 = { postMessage: () => void setImmediate(() => this.port2.onmessage()) };
}

/**
 * Loads a worker's script with this process as its scope, and hands it to whoever makes that Worker; all others do
 * nothing. One a test file: the script serves the global scope.
 * @param script of src/workers
 * @returns what it says, in order
 */
export async function workerInProcess(script: string): Promise<Reply[]> {
  const scope: ((event: { data: Request }) => void)[] = [];
  const page: ((event: { data: Reply }) => void)[] = [];
  const said: Reply[] = [];
  const copied = <T>(data: T, transfer: ArrayBufferLike[]) =>
    structuredClone(data, { transfer: transfer as ArrayBuffer[] });
  vi.stubGlobal('addEventListener', (type: string, listener: (event: { data: Request }) => void) => {
    if (type === 'message') scope.push(listener);
  });
  vi.stubGlobal('postMessage', (reply: Reply, transfer: ArrayBufferLike[]) => {
    const data = copied(reply, transfer);
    said.push(data);
    for (const listener of page) queueMicrotask(() => listener({ data }));
  });
  // Node hands over all messages of a port before anything else, those that come meanwhile too; no browser does.
  vi.stubGlobal('MessageChannel', FairChannel);
  // By a name that the compiler doesn't follow: a worker is written with the browser's types.
  const path = `../../src/workers/${script}`;
  await import(path);
  vi.stubGlobal(
    'Worker',
    class implements WorkerLike {
      readonly #isIt: boolean;
      constructor(url: string | URL) {
        this.#isIt = String(url).includes(script);
      }
      postMessage(request: Request, transfer: ArrayBufferLike[]): void {
        if (!this.#isIt) return;
        const data = copied(request, transfer);
        queueMicrotask(() => {
          for (const listener of scope) listener({ data });
        });
      }
      addEventListener(type: string, listener: never): void {
        if (type === 'message' && this.#isIt) page.push(listener);
      }
      terminate(): void {}
    },
  );
  return said;
}
