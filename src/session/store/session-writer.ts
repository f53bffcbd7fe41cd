import type { SessionDocument } from '../document.ts';
import type { Step, Steps } from '../history.ts';
import type { Database, SessionEntry } from './database.ts';
import { entryOf, previousKey } from './database.ts';
import { NewestWriter } from './newest-writer.ts';
import { guarded, WrittenElsewhereError } from './storage-error.ts';

/** A session as it stands at one moment. Neither part of it changes any more. */
export interface SessionWork {
  readonly document: SessionDocument;
  readonly steps: Steps;
}

/** What was stored of a session when it was read. */
export interface WrittenBefore {
  readonly entry: SessionEntry;
  readonly work: SessionWork;
}

interface Turn {
  readonly work: SessionWork;
  readonly flushes: number;
}

/** Writes one session, and never into another one. Of its steps of undo only those are written that are not there yet. */
export class SessionWriter {
  private readonly newest = new NewestWriter<Turn>((turn) => guarded(() => this.write(turn)));
  private readonly keys = new WeakMap<Step, number>();
  private nextKey = 0;
  /** Keys of the steps that are stored; null where nobody knows. */
  private stored: ReadonlySet<number> | null = new Set();
  private last: SessionDocument | null = null;
  /** By which what is stored is told from what somebody else wrote: it was read here, or this writer wrote it. */
  private read: string | null = null;
  private readonly mark = crypto.randomUUID();
  private writings = 0;
  /** How often all was handed over at once: whatever was pushed before is older. */
  private flushes = 0;

  constructor(
    private readonly database: Database,
    readonly id: string,
    before?: WrittenBefore,
  ) {
    if (!before) return;
    const { entry, work } = before;
    this.read = entry.stamp;
    this.last = work.document;
    const known = (keys: readonly number[], steps: readonly Step[]) => {
      for (const [i, step] of steps.entries()) this.keys.set(step, keys[i] as number);
    };
    known(entry.past, work.steps.past);
    known(entry.future, work.steps.future);
    this.stored = new Set([...entry.past, ...entry.future]);
    this.nextKey = Math.max(-1, ...this.stored) + 1;
  }

  /** True once something of the session is in the store. */
  get isStored(): boolean {
    return this.last !== null;
  }

  /**
   * Writing begins at once and in order; resolves when this work or newer one is stored.
   * @throws StorageError where the browser refuses; WrittenElsewhereError where another window wrote this session
   */
  push(work: SessionWork): Promise<void> {
    return this.newest.push({ work, flushes: this.flushes });
  }

  /**
   * For a page that is about to go: everything is handed over in one go, without an answer to wait for. Who else may
   * have written is not asked, so only a window that holds the session's lock may do this.
   */
  pushAtOnce(work: SessionWork): Promise<void> {
    this.flushes++;
    return guarded(() =>
      this.inTransaction(async (transaction) => {
        this.put(transaction, work);
        transaction.commit();
      }),
    );
  }

  private write({ work, flushes }: Turn): Promise<void> {
    return this.inTransaction(async (transaction) => {
      const there = await transaction.objectStore('sessions').get(this.id);
      // Newer work was handed over meanwhile.
      if (flushes !== this.flushes) return;
      if (there && there.stamp !== this.read && !there.stamp.startsWith(this.mark)) {
        throw new WrittenElsewhereError(this.id);
      }
      // Discarded meanwhile, but still worked on here: all of it is written again.
      if (!there) this.stored = null;
      await Promise.all(this.put(transaction, work));
    });
  }

  /**
   * All or nothing: a crash in the middle leaves the session as it was. After a writing that failed nothing is taken to
   * be known of what is stored.
   */
  private async inTransaction(work: (transaction: Writing) => Promise<void>): Promise<void> {
    const { last } = this;
    const transaction = writing(this.database);
    // When the work is given up, `done` rejects as well; the first reason is the one to tell.
    transaction.done.catch(() => undefined);
    try {
      await work(transaction);
      await transaction.done;
    } catch (fault) {
      this.stored = null;
      this.last = last;
      abort(transaction);
      throw fault;
    }
  }

  private put(transaction: Writing, { document, steps }: SessionWork): Promise<unknown>[] {
    const documents = transaction.objectStore('documents');
    const rows = transaction.objectStore('steps');
    const past = steps.past.map((step) => this.keyOf(step));
    const future = steps.future.map((step) => this.keyOf(step));
    const entry = entryOf(this.id, document, { past, future, stamp: `${this.mark} ${++this.writings}` });
    const { stored, last } = this;
    const wanted = new Set([...past, ...future]);
    const work: Promise<unknown>[] = [];
    const ask = (request: Promise<unknown>) => {
      // One that fails fails the transaction, and that is told.
      request.catch(() => undefined);
      work.push(request);
    };
    ask(transaction.objectStore('sessions').put(entry));
    if (stored === null) ask(rows.delete(IDBKeyRange.bound([this.id], [this.id, []])));
    for (const key of stored ?? []) if (!wanted.has(key)) ask(rows.delete([this.id, key]));
    for (const step of [...steps.past, ...steps.future]) {
      const key = this.keyOf(step);
      // A clock of this visit means nothing to the next one.
      if (!stored?.has(key)) ask(rows.put({ ...step, time: Number.NEGATIVE_INFINITY }, [this.id, key]));
    }
    if (last !== null && last !== document) ask(documents.put(last, previousKey(this.id)));
    ask(documents.put(document, this.id));
    this.stored = wanted;
    this.last = document;
    return work;
  }

  private keyOf(step: Step): number {
    const key = this.keys.get(step) ?? this.nextKey++;
    this.keys.set(step, key);
    return key;
  }
}

type Writing = ReturnType<typeof writing>;

/**
 * Handed to the system and not waited for until the disk has it: a page that goes has no time for that, and a browser
 * that crashes doesn't need it. Only a power cut may take the last seconds.
 */
function writing(database: Database) {
  return database.transaction(['sessions', 'documents', 'steps'], 'readwrite', { durability: 'relaxed' });
}

/** Nothing of it is stored, whether the browser has given it up already or not. */
function abort(transaction: Writing): void {
  try {
    transaction.abort();
  } catch {
    // It was over.
  }
}
