import type { SessionDocument } from '../document.ts';
import { parseSession, VERSION } from '../document.ts';
import { hashesIn } from '../hashes.ts';
import type { Step, Steps } from '../history.ts';
import type { NamedRack } from '../rack-file.ts';
import { rackFile } from '../rack-file.ts';
import { SessionError } from '../session-error.ts';
import type { Database, SessionEntry } from './database.ts';
import { openDatabase, previousKey } from './database.ts';
import type { SessionWork } from './session-writer.ts';
import { SessionWriter } from './session-writer.ts';
import { guarded, StorageError } from './storage-error.ts';

export type { SessionEntry } from './database.ts';
export type { SessionWork } from './session-writer.ts';
export { StorageError, WrittenElsewhereError } from './storage-error.ts';

const NO_STEPS: Steps = { past: [], future: [] };

/** A session that was read from the store, and what goes on writing it. */
export interface StoredSession extends SessionWork {
  readonly writer: SessionWriter;
  /** A sentence where this is the last good copy instead of the newest. */
  readonly notice: string | null;
}

/** A session that can't be read, as it is. */
export interface UnreadSession {
  readonly name: string;
  readonly document: unknown;
}

/** Sessions and their sound files in the browser's own database, so that a reload or a crash loses nothing. */
export class SessionStorage {
  /** Sound that came since the store was opened: a document that names it may not have been stored yet. */
  private readonly fresh = new Set<string>();

  private constructor(private readonly database: Database) {}

  /**
   * @param outdated is called when a newer version of this tool needs the database; nothing is stored from then on
   * @throws StorageError where the browser keeps nothing (private windows of some browsers)
   */
  static async open(name = 'level-best', outdated: () => void = () => undefined): Promise<SessionStorage> {
    return new SessionStorage(await openDatabase(name, outdated));
  }

  close(): void {
    this.database.close();
  }

  /** All sessions, the one that was changed last first. */
  async list(): Promise<SessionEntry[]> {
    const entries = await reading(() => this.database.getAll('sessions'));
    return entries.sort((a, b) => b.changed - a.changed);
  }

  /** Undefined where there is no such session. */
  entry(id: string): Promise<SessionEntry | undefined> {
    return reading(() => this.database.get('sessions', id));
  }

  /** A session that is not in the store yet, and comes into it with the first writing. */
  begin(id: string): SessionWriter {
    return new SessionWriter(this.database, id);
  }

  /**
   * One that is damaged stays as it is and is marked; its last good copy becomes a session of its own under `freshId`.
   * @throws SessionError where it can't be read; StorageError where the browser fails
   */
  async load(id: string, freshId: string): Promise<StoredSession> {
    const { entry, document, previous, steps } = await this.read(id);
    try {
      const parsed = parseSession(document);
      const known = entry.version === VERSION && steps.length === entry.past.length + entry.future.length;
      const work = {
        document: parsed,
        steps: known ? { past: steps.slice(0, entry.past.length), future: steps.slice(entry.past.length) } : NO_STEPS,
      };
      const written = known ? entry : { ...entry, past: [], future: [] };
      return { ...work, writer: new SessionWriter(this.database, id, { entry: written, work }), notice: null };
    } catch (fault) {
      if (!(fault instanceof SessionError)) throw fault;
      if (fault.reason === 'newer') throw fault;
      await guarded(() => this.database.put('sessions', { ...entry, damaged: true }));
      const copy = readable(previous);
      if (!copy) throw fault;
      const notice = `${fault.message} This is the last copy that can be read; the other one is kept.`;
      return { document: copy, steps: NO_STEPS, writer: this.begin(freshId), notice };
    }
  }

  /**
   * A copy of a session as it is stored, called `name`, without its steps of undo.
   * @throws SessionError where it can't be read; StorageError where the browser fails
   */
  async duplicate(id: string, freshId: string, name: string): Promise<void> {
    const document = { ...parseSession((await this.read(id)).document), name };
    await this.begin(freshId).push({ document, steps: NO_STEPS });
  }

  /** Gives a session up for good; its sound goes with the next `sweep`. */
  async discard(id: string): Promise<void> {
    await guarded(async () => {
      const transaction = this.database.transaction(['sessions', 'documents', 'steps'], 'readwrite');
      transaction.done.catch(() => undefined);
      await Promise.all([
        transaction.objectStore('sessions').delete(id),
        transaction.objectStore('documents').delete(id),
        transaction.objectStore('documents').delete(previousKey(id)),
        transaction.objectStore('steps').delete(stepsOf(id)),
      ]);
      await transaction.done;
    });
  }

  /** The document of a session that can't be read. */
  async unread(id: string): Promise<UnreadSession> {
    const { entry, document } = await this.read(id);
    return { name: entry.name, document };
  }

  /** The user's own starting points as they are stored, by id. */
  async racks(): Promise<ReadonlyMap<string, unknown>> {
    return reading(async () => {
      const transaction = this.database.transaction('racks');
      const [keys, values] = await Promise.all([transaction.store.getAllKeys(), transaction.store.getAll()]);
      return new Map(keys.map((key, i) => [key, values[i]]));
    });
  }

  async saveRack(id: string, rack: NamedRack): Promise<void> {
    await guarded(() => this.database.put('racks', rackFile(rack), id));
  }

  async discardRack(id: string): Promise<void> {
    await guarded(() => this.database.delete('racks', id));
  }

  async saveAudio(sha256: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    this.fresh.add(sha256);
    await guarded(async () => {
      if (!(await this.database.count('audio', sha256))) await this.database.put('audio', bytes, sha256);
    });
  }

  async loadAudio(sha256: string): Promise<Uint8Array<ArrayBuffer> | null> {
    return (await reading(() => this.database.get('audio', sha256))) ?? null;
  }

  async hasAudio(sha256: string): Promise<boolean> {
    return (await reading(() => this.database.count('audio', sha256))) > 0;
  }

  /**
   * Takes sound files away that nothing needs: neither `document`, nor any session that is stored with its steps of
   * undo, nor what came since the store was opened.
   * @param alsoNeeded hashes of files that undo may bring back although they came earlier
   */
  async sweep(document: SessionDocument, alsoNeeded: readonly string[] = []): Promise<void> {
    const transaction = this.database.transaction(['documents', 'steps', 'audio'], 'readwrite');
    const used = new Set([...hashesIn(document), ...alsoNeeded, ...this.fresh]);
    const note = (value: unknown) => {
      for (const sha256 of hashesIn(value)) used.add(sha256);
    };
    // One at a time: all of them may be more than memory should hold.
    for (const store of [transaction.objectStore('documents'), transaction.objectStore('steps')]) {
      for (let row = await store.openCursor(); row; row = await row.continue()) note(row.value);
    }
    const audio = transaction.objectStore('audio');
    for (const key of await audio.getAllKeys()) if (!used.has(key)) await audio.delete(key);
    await transaction.done;
  }

  /** Asks the browser not to clear the store when it is short of room; false where it may. */
  async persist(): Promise<boolean> {
    return (await globalThis.navigator?.storage?.persist?.()) ?? false;
  }

  /** All that is stored of a session, as it was at one moment; its steps with those of the past first. */
  private async read(id: string) {
    const found = await reading(async () => {
      const transaction = this.database.transaction(['sessions', 'documents', 'steps']);
      const [entry, document, previous, keys, values] = await Promise.all([
        transaction.objectStore('sessions').get(id),
        transaction.objectStore('documents').get(id),
        transaction.objectStore('documents').get(previousKey(id)),
        transaction.objectStore('steps').getAllKeys(stepsOf(id)),
        transaction.objectStore('steps').getAll(stepsOf(id)),
      ]);
      const byKey = new Map<number, Step>(keys.map(([, key], i) => [key, values[i] as Step]));
      return { entry, document, previous, byKey };
    });
    const { entry, document, previous, byKey } = found;
    if (!entry) throw new SessionError('This session is not in the browser any more. Choose another one.');
    const steps = [...entry.past, ...entry.future].flatMap((key) => byKey.get(key) ?? []);
    return { entry, document, previous, steps };
  }
}

function stepsOf(id: string): IDBKeyRange {
  return IDBKeyRange.bound([id], [id, []]);
}

async function reading<T>(read: () => Promise<T>): Promise<T> {
  try {
    return await read();
  } catch {
    throw new StorageError('The browser did not give back what it stores. Reload the page to try again.');
  }
}

function readable(stored: unknown): SessionDocument | null {
  try {
    return stored === undefined ? null : parseSession(stored);
  } catch {
    return null;
  }
}

/** True for a session that this version of the tool can't read. */
export function isUnreadable({ damaged, version }: SessionEntry): boolean {
  return damaged === true || version > VERSION;
}
