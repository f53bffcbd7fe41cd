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
  | { readonly type: 'note'; readonly name: string; readonly note: unknown }
  /** Is anybody there? */
  | { readonly type: 'ping' };

/** From the worker. */
export type Reply =
  | { readonly type: 'told'; readonly id: number; readonly told: unknown }
  | { readonly type: 'answer'; readonly id: number; readonly answer: unknown }
  /** A sentence for the user. */
  | { readonly type: 'fault'; readonly id: number; readonly text: string }
  | { readonly type: 'news'; readonly name: string; readonly news: unknown }
  | { readonly type: 'pong' };

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

/** What is said where a message can't be handed over: what is sent is plain data, so only memory is in its way. */
const UNSENT = 'There is not enough memory to work on this. Close other tabs and programs, and try again.';
/** How often a worker that owes something is looked at, ms. */
const LOOK_MS = 1000;
/**
 * As often as that nothing may come of it before it counts as dead: not every browser tells when it ends a worker. Looks
 * are counted and not the time, so that a page that sleeps, or is slowed down, waits longer.
 */
const SILENT_LOOKS = 60;

interface Pending {
  readonly request: Request;
  /** Its buffers are gone: it can't be asked again. */
  readonly handed: boolean;
  readonly onTold: ((told: never) => void) | undefined;
  resolve(answer: never): void;
  reject(reason: unknown): void;
}

export interface ChannelOptions<P extends Protocol> {
  /** What to say where the worker stops by itself: a sentence for the user. */
  readonly stopped: string;
  /** Who hears what the worker says unasked. */
  readonly news?: { readonly [N in Name<P['news']>]?: (news: P['news'][N]) => void };
  /**
   * Where given, a worker that stops by itself is started anew, once for everything it was asked: this notes what the
   * new one must know, then it is asked what the old one owes.
   */
  readonly restore?: () => void;
  /** Looks at its silence until it counts as dead: more than its longest piece of work takes on a slow machine. */
  readonly silentLooks?: number;
  /** Told once, when it has stopped for good. */
  readonly onStopped?: (fault: WorkerFault) => void;
}

/** The page's end of a worker. */
export class WorkerChannel<P extends Protocol> {
  readonly #start: () => object;
  readonly #options: ChannelOptions<P>;
  readonly #pending = new Map<number, Pending>();
  #worker: WorkerLike;
  #ended: { readonly reason: unknown } | null = null;
  #id = 0;
  #mayRestart: boolean;
  /** True where something was sent that nothing has come after. */
  #owes = false;
  #silentLooks = 0;
  #looks: ReturnType<typeof setInterval> | undefined;

  /** @param start makes the worker */
  constructor(start: () => object, options: ChannelOptions<P>) {
    this.#start = start;
    this.#options = options;
    this.#mayRestart = options.restore !== undefined;
    this.#worker = this.#started();
  }

  /** @throws WorkerFault where it can't be sent */
  note<N extends Name<P['notes']>>(name: N, note: P['notes'][N], transfer: ArrayBufferLike[] = []): void {
    if (!this.#ended) this.#post({ type: 'note', name, note }, transfer);
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
      this.#post({ type: 'cancel', id });
      pending?.reject(signal?.reason);
    };
    try {
      return await new Promise<P['asks'][N]['answer']>((resolve, reject) => {
        const request: Request = { type: 'ask', id, name, ask };
        this.#pending.set(id, { request, handed: transfer.length > 0, onTold, resolve, reject });
        signal?.addEventListener('abort', cancel);
        this.#post(request, transfer);
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
    clearInterval(this.#looks);
    for (const { reject } of this.#pending.values()) reject(reason);
    this.#pending.clear();
  }

  #started(): WorkerLike {
    const worker = this.#start() as WorkerLike;
    // What one says that another took the place of is nobody's.
    const stop = () => worker === this.#worker && this.#stop();
    worker.addEventListener('message', ({ data }) => worker === this.#worker && this.#receive(data));
    worker.addEventListener('error', stop);
    worker.addEventListener('messageerror', stop);
    return worker;
  }

  #post(request: Request, transfer: ArrayBufferLike[] = []): void {
    try {
      this.#worker.postMessage(request, transfer);
    } catch (fault) {
      throw new WorkerFault(UNSENT, { cause: fault });
    }
    this.#owes = true;
    this.#looks ??= setInterval(() => this.#look(), LOOK_MS);
  }

  #look(): void {
    if (!this.#owes && this.#pending.size === 0) {
      clearInterval(this.#looks);
      this.#looks = undefined;
    } else if (this.#silentLooks === (this.#options.silentLooks ?? SILENT_LOOKS)) {
      this.#stop();
    } else {
      this.#silentLooks++;
      this.#post({ type: 'ping' });
    }
  }

  /** The worker has stopped by itself. */
  #stop(): void {
    if (this.#ended) return;
    const { stopped, restore, onStopped } = this.#options;
    const fault = new WorkerFault(stopped);
    if (this.#mayRestart) {
      this.#mayRestart = false;
      this.#worker.terminate();
      try {
        this.#worker = this.#started();
        this.#silentLooks = 0;
        restore?.();
        for (const { request, handed, reject } of this.#pending.values()) {
          if (handed) reject(fault);
          else this.#post(request);
        }
        return;
      } catch {
        // It could not be told what it must know: there is no use in it.
      }
    }
    this.end(fault);
    onStopped?.(fault);
  }

  #receive(reply: Reply): void {
    if (this.#ended) return;
    this.#owes = false;
    this.#silentLooks = 0;
    if (reply.type === 'pong') return;
    if (reply.type === 'news') {
      this.#options.news?.[reply.name as Name<P['news']>]?.(reply.news as never);
      return;
    }
    const pending = this.#pending.get(reply.id);
    if (!pending) return;
    if (reply.type === 'told') {
      pending.onTold?.(reply.told as never);
      return;
    }
    this.#pending.delete(reply.id);
    if (reply.type === 'answer') pending.resolve(reply.answer as never);
    else pending.reject(new WorkerFault(reply.text));
    // All that was asked is answered: it is not what it was asked that stops it.
    if (this.#pending.size === 0) this.#mayRestart = this.#options.restore !== undefined;
  }
}
