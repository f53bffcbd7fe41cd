/**
 * What a page and a worker say to each other, for every worker alike. A protocol is its message map: what may be asked,
 * told on the way and answered, and what is noted in either direction without an answer.
 */
export interface Protocol {
  /** What the page asks, by name: the request, what is told while it is worked on, the answer. */
  readonly asks: Readonly<Record<string, { readonly ask: unknown; readonly told: unknown; readonly answer: unknown }>>;
  /** What the page says without an answer, by name. */
  readonly notes: Readonly<Record<string, unknown>>;
  /** What the worker says unasked, by name. */
  readonly news: Readonly<Record<string, unknown>>;
}

type Name<T> = keyof T & string;

/** From the page. */
export type Request =
  | { readonly type: 'ask'; readonly id: number; readonly name: string; readonly ask: unknown }
  | { readonly type: 'cancel'; readonly id: number }
  | { readonly type: 'note'; readonly name: string; readonly note: unknown };

/** From the worker. */
export type Reply =
  | { readonly type: 'told'; readonly id: number; readonly told: unknown }
  | { readonly type: 'answer'; readonly id: number; readonly answer: unknown }
  /** A sentence for the user. */
  | { readonly type: 'fault'; readonly id: number; readonly text: string }
  | { readonly type: 'news'; readonly name: string; readonly news: unknown };

/** A Worker, as far as a channel needs it. */
export interface WorkerLike {
  postMessage(message: Request, transfer: ArrayBufferLike[]): void;
  terminate(): void;
  addEventListener(type: 'message', listener: (event: { readonly data: Reply }) => void): void;
  addEventListener(type: 'error' | 'messageerror', listener: () => void): void;
}

export interface AskOptions<Told> {
  /** Gives the request up: the worker hears of it, and whatever it still says about it is nobody's. */
  readonly signal?: AbortSignal;
  readonly transfer?: ArrayBufferLike[];
  readonly onTold?: (told: Told) => void;
}

/** A worker's refusal, or its end; the message is a sentence for the user. */
export class WorkerFault extends Error {}

interface Pending {
  readonly onTold: ((told: never) => void) | undefined;
  resolve(answer: never): void;
  reject(reason: unknown): void;
}

/** The page's end of a worker. */
export class WorkerChannel<P extends Protocol> {
  readonly #worker: WorkerLike;
  readonly #pending = new Map<number, Pending>();
  readonly #news: { readonly [N in Name<P['news']>]?: (news: P['news'][N]) => void };
  #ended: { readonly reason: unknown } | null = null;
  #id = 0;

  /**
   * @param stopped what to say where the worker stops by itself: a sentence for the user
   * @param news who hears what the worker says unasked
   * @param onStopped told once when it stops by itself
   */
  constructor(
    worker: object,
    stopped: string,
    news: { readonly [N in Name<P['news']>]?: (news: P['news'][N]) => void } = {},
    onStopped: (fault: WorkerFault) => void = () => undefined,
  ) {
    this.#worker = worker as WorkerLike;
    this.#news = news;
    const stop = () => {
      if (this.#ended) return;
      const fault = new WorkerFault(stopped);
      this.end(fault);
      onStopped(fault);
    };
    this.#worker.addEventListener('message', ({ data }) => this.#receive(data));
    this.#worker.addEventListener('error', stop);
    this.#worker.addEventListener('messageerror', stop);
  }

  note<N extends Name<P['notes']>>(name: N, note: P['notes'][N], transfer: ArrayBufferLike[] = []): void {
    if (!this.#ended) this.#worker.postMessage({ type: 'note', name, note }, transfer);
  }

  /** @throws WorkerFault; the signal's reason where it is aborted, at once and whatever the worker is doing */
  async ask<N extends Name<P['asks']>>(
    name: N,
    ask: P['asks'][N]['ask'],
    { signal, transfer = [], onTold }: AskOptions<P['asks'][N]['told']> = {},
  ): Promise<P['asks'][N]['answer']> {
    signal?.throwIfAborted();
    if (this.#ended) throw this.#ended.reason;
    this.#id++;
    const id = this.#id;
    const cancel = () => {
      const pending = this.#pending.get(id);
      if (!this.#pending.delete(id)) return;
      this.#worker.postMessage({ type: 'cancel', id }, []);
      pending?.reject(signal?.reason);
    };
    try {
      return await new Promise<P['asks'][N]['answer']>((resolve, reject) => {
        this.#pending.set(id, { onTold, resolve, reject });
        signal?.addEventListener('abort', cancel);
        this.#worker.postMessage({ type: 'ask', id, name, ask }, transfer);
      });
    } finally {
      this.#pending.delete(id);
      signal?.removeEventListener('abort', cancel);
    }
  }

  /** Ends the worker at once, which gives its memory back; who still waits is refused with the reason. */
  end(reason: unknown = new WorkerFault('This was ended.')): void {
    if (this.#ended) return;
    this.#ended = { reason };
    this.#worker.terminate();
    for (const { reject } of this.#pending.values()) reject(reason);
    this.#pending.clear();
  }

  #receive(reply: Reply): void {
    if (this.#ended) return;
    if (reply.type === 'news') {
      this.#news[reply.name as Name<P['news']>]?.(reply.news as never);
      return;
    }
    const pending = this.#pending.get(reply.id);
    if (!pending) return;
    if (reply.type === 'told') pending.onTold?.(reply.told as never);
    else if (reply.type === 'answer') pending.resolve(reply.answer as never);
    else pending.reject(new WorkerFault(reply.text));
  }
}
