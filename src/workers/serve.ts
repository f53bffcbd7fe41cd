import type { Protocol, Reply, Request } from './channel.ts';

/** The worker's own scope, as far as it is needed. */
export interface WorkerScope {
  postMessage(message: Reply, transfer: ArrayBufferLike[]): void;
  addEventListener(type: 'message', listener: (event: { readonly data: Request }) => void): void;
  addEventListener(type: 'messageerror', listener: () => void): void;
}

/** An answer whose buffers are handed over. */
export class Handed<T> {
  constructor(
    readonly answer: T,
    readonly transfer: ArrayBufferLike[],
  ) {}
}

export interface Task<Told> {
  /** Aborted where the page has given the request up; work in steps looks at it between them. */
  readonly signal: AbortSignal;
  tell(told: Told, transfer?: ArrayBufferLike[]): void;
}

type Answered<T> = T | Handed<T>;

export interface Service<P extends Protocol> {
  readonly asks: {
    readonly [N in keyof P['asks'] & string]: (
      ask: P['asks'][N]['ask'],
      task: Task<P['asks'][N]['told']>,
    ) => Answered<P['asks'][N]['answer']> | Promise<Answered<P['asks'][N]['answer']>>;
  };
  readonly notes: { readonly [N in keyof P['notes'] & string]: (note: P['notes'][N]) => void };
  /** A fault of a request as a sentence for the user that says what to do. */
  faultText(fault: unknown, name: keyof P['asks'] & string): string;
}

/**
 * The worker's end of a channel. A request is answered once, or refused with a sentence, and one that was given up not
 * at all. @returns says something unasked
 */
export function serve<P extends Protocol>(service: Service<P>, scope = globalThis as unknown as WorkerScope) {
  const running = new Map<number, AbortController>();

  const answer = async ({ id, name, ask }: Extract<Request, { type: 'ask' }>): Promise<void> => {
    const controller = new AbortController();
    const { signal } = controller;
    const post = (reply: Reply, transfer: ArrayBufferLike[] = []) => {
      if (!signal.aborted) scope.postMessage(reply, transfer);
    };
    running.set(id, controller);
    try {
      const task = {
        signal,
        tell: (told: never, transfer?: ArrayBufferLike[]) => post({ type: 'told', id, told }, transfer),
      };
      const found = await service.asks[name](ask as never, task);
      if (found instanceof Handed) post({ type: 'answer', id, answer: found.answer }, found.transfer);
      else post({ type: 'answer', id, answer: found });
    } catch (fault) {
      post({ type: 'fault', id, text: service.faultText(fault, name) });
    } finally {
      running.delete(id);
    }
  };

  scope.addEventListener('message', ({ data }) => {
    if (data.type === 'ask') void answer(data);
    else if (data.type === 'cancel') running.get(data.id)?.abort();
    else if (data.type === 'ping') scope.postMessage({ type: 'pong' }, []);
    else service.notes[data.name](data.note as never);
  });

  scope.addEventListener('messageerror', () => {
    // Nobody knows what it was, so nobody could be answered: the page is told as of any other stop.
    throw new Error('A message could not be read.');
  });

  return <N extends keyof P['news'] & string>(name: N, news: P['news'][N], transfer: ArrayBufferLike[] = []): void =>
    scope.postMessage({ type: 'news', name, news }, transfer);
}
