import type { DBSchema, IDBPDatabase } from 'idb';
import { openDB } from 'idb';
import type { SessionDocument } from './document.ts';
import { parseSession, VERSION } from './document.ts';
import { NewestWriter } from './newest-writer.ts';
import { SessionError } from './session-error.ts';

interface Store extends DBSchema {
  /** The session, its last good copy, and documents that couldn't be read. */
  documents: { key: string; value: unknown };
  /** Sound files as they came, under their SHA-256. */
  audio: { key: string; value: Uint8Array<ArrayBuffer> };
}

const CURRENT = 'current';
const PREVIOUS = 'previous';
const ASIDE = 'aside ';

/** A store that refused; the message is a sentence for the user. */
export class StorageError extends Error {
  override readonly name = 'StorageError';
}

/** A document that this tool can't read and that was kept for one that can. */
export interface AsideDocument {
  /** Ends with the time it was set aside, ISO 8601. */
  readonly key: string;
  readonly document: unknown;
}

/** The session and its sound files in the browser's own database, so that a reload or a crash loses nothing. */
export class SessionStorage {
  /** After `load`: a sentence where the session is the last good copy instead of the newest. */
  notice: string | null = null;
  private readonly documents = new NewestWriter<SessionDocument>((document) =>
    this.guarded(() => this.write(document)),
  );
  private unreadable = false;
  /** Sound that came since the store was opened: a document that names it may not have been stored yet. */
  private readonly fresh = new Set<string>();

  private constructor(private readonly database: IDBPDatabase<Store>) {}

  /** @throws StorageError where the browser keeps nothing (private windows of some browsers) */
  static async open(name = 'level-best'): Promise<SessionStorage> {
    try {
      const database = await openDB<Store>(name, 1, {
        upgrade(fresh) {
          fresh.createObjectStore('documents');
          fresh.createObjectStore('audio');
        },
      });
      return new SessionStorage(database);
    } catch {
      throw new StorageError(
        'This browser window keeps no data, so a reload will lose the session. Use a normal window to keep it.',
      );
    }
  }

  close(): void {
    this.database.close();
  }

  /**
   * The last session; null when there is none. One that can't be read stays where it is, and the next `save` sets it
   * aside; if it is damaged, the last good copy comes in its place and `notice` says so.
   * @throws SessionError where there is a session, but none that can be read; StorageError where the browser fails
   */
  async load(): Promise<SessionDocument | null> {
    const stored = await this.read(CURRENT);
    this.notice = null;
    this.unreadable = false;
    if (stored === undefined) return null;
    try {
      return parseSession(stored);
    } catch (fault) {
      if (!(fault instanceof SessionError)) throw fault;
      this.unreadable = true;
      const copy = readable(await this.read(PREVIOUS));
      if (!copy) throw fault;
      this.notice = `${fault.message} This is the last copy that can be read; the other one is kept.`;
      return copy;
    }
  }

  /** Writing begins at once and in order; resolves when this document or a newer one is stored. */
  save(document: SessionDocument): Promise<void> {
    return this.documents.push(document);
  }

  async saveAudio(sha256: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    this.fresh.add(sha256);
    await this.guarded(async () => {
      if (!(await this.database.count('audio', sha256))) await this.database.put('audio', bytes, sha256);
    });
  }

  async loadAudio(sha256: string): Promise<Uint8Array<ArrayBuffer> | null> {
    return (await this.database.get('audio', sha256)) ?? null;
  }

  async hasAudio(sha256: string): Promise<boolean> {
    return (await this.database.count('audio', sha256)) > 0;
  }

  /** Documents that couldn't be read, oldest first. */
  async asides(): Promise<AsideDocument[]> {
    const range = IDBKeyRange.bound(ASIDE, `${ASIDE}\uffff`);
    const keys = await this.database.getAllKeys('documents', range);
    return Promise.all(keys.map(async (key) => ({ key, document: await this.database.get('documents', key) })));
  }

  /** Gives a document up that `asides` told of; its sound goes with the next `sweep`. */
  async forgetAside(key: string): Promise<void> {
    if (key.startsWith(ASIDE)) await this.guarded(() => this.database.delete('documents', key));
  }

  /**
   * Takes sound files away that nothing needs: neither `document`, nor any document that is stored, nor what came since
   * the store was opened, which undo may bring back.
   * @param alsoNeeded hashes of files that undo may bring back although they came earlier
   */
  async sweep(document: SessionDocument, alsoNeeded: readonly string[] = []): Promise<void> {
    const transaction = this.database.transaction(['documents', 'audio'], 'readwrite');
    const audio = transaction.objectStore('audio');
    const documents = await transaction.objectStore('documents').getAll();
    const used = new Set([...[document, ...documents].flatMap(hashesIn), ...alsoNeeded]);
    for (const key of await audio.getAllKeys()) {
      if (!used.has(key) && !this.fresh.has(key)) await audio.delete(key);
    }
    await transaction.done;
  }

  /** Asks the browser not to clear the store when it is short of room; false where it may. */
  async persist(): Promise<boolean> {
    return (await globalThis.navigator?.storage?.persist?.()) ?? false;
  }

  /** All or nothing: a crash in the middle leaves both documents as they were. `strict` also outlives a power cut. */
  private async write(document: SessionDocument): Promise<void> {
    const transaction = this.database.transaction('documents', 'readwrite', { durability: 'strict' });
    const { store } = transaction;
    const work = async () => {
      const before = await store.get(CURRENT);
      if (before !== undefined) await store.put(before, this.isAside(before) ? asideKey() : PREVIOUS);
      await store.put(document, CURRENT);
    };
    // When the work is given up, `done` rejects as well; the first reason is the one to tell.
    transaction.done.catch(() => {});
    await work().catch((fault) => {
      giveUp(transaction);
      throw fault;
    });
    await transaction.done;
    this.unreadable = false;
  }

  /** What `load` couldn't read, or what a newer version of this tool wrote in another window since. */
  private isAside(stored: unknown): boolean {
    return this.unreadable || Number((stored as { version?: unknown } | null)?.version) > VERSION;
  }

  private async read(key: string): Promise<unknown> {
    try {
      return await this.database.get('documents', key);
    } catch {
      throw new StorageError('The browser did not give the stored session back. Reload the page to try again.');
    }
  }

  private async guarded(write: () => Promise<unknown>): Promise<void> {
    try {
      await write();
    } catch (fault) {
      const full = fault instanceof DOMException && fault.name === 'QuotaExceededError';
      throw new StorageError(
        full
          ? "The browser's storage is full, so the last change is not kept over a reload. Free some space or remove channels."
          : 'The browser did not store the last change. It is still here until the page is closed.',
      );
    }
  }
}

function readable(stored: unknown): SessionDocument | null {
  try {
    return stored === undefined ? null : parseSession(stored);
  } catch {
    return null;
  }
}

/** Nothing of it is stored, whether the browser has given it up already or not. */
function giveUp(transaction: { abort(): void }): void {
  try {
    transaction.abort();
  } catch {
    // It was over.
  }
}

/** In the order of time. */
function asideKey(): string {
  return `${ASIDE}${new Date().toISOString()}`;
}

/** SHA-256 of the files that a document names, also of one that can't be read otherwise, however deep it is. */
export function hashesIn(document: unknown): string[] {
  const found = new Set<string>();
  const seen = new Set<unknown>();
  const waiting: unknown[] = [document];
  while (waiting.length > 0) {
    const one = waiting.pop();
    if (typeof one === 'string') {
      for (const sha256 of one.match(/\b[0-9a-f]{64}\b/g) ?? []) found.add(sha256);
    } else if (typeof one === 'object' && one !== null && !seen.has(one)) {
      seen.add(one);
      for (const [key, inner] of Object.entries(one)) waiting.push(key, inner);
    }
  }
  return [...found];
}

/** SHA-256 of bytes in lower-case hex. */
export async function sha256Hex(bytes: Uint8Array<ArrayBuffer>): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
