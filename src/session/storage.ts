import type { DBSchema, IDBPDatabase } from 'idb';
import { openDB } from 'idb';
import type { SessionDocument } from './document.ts';
import { parseSession } from './document.ts';

interface Store extends DBSchema {
  documents: { key: string; value: SessionDocument };
  /** Sound files as they came, under their SHA-256. */
  audio: { key: string; value: Uint8Array<ArrayBuffer> };
}

const CURRENT = 'current';

/** A store that refused; the message is a sentence for the user. */
export class StorageError extends Error {
  override readonly name = 'StorageError';
}

/**
 * The session and its sound files in the browser's own database, so that a reload or a crash loses nothing.
 */
export class SessionStorage {
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

  /** The last session; null when there is none. A damaged one is reported and left where it is. */
  async load(): Promise<SessionDocument | null> {
    const stored = await this.database.get('documents', CURRENT);
    return stored === undefined ? null : parseSession(stored);
  }

  async save(document: SessionDocument): Promise<void> {
    await this.guarded(() => this.database.put('documents', document, CURRENT));
  }

  async saveAudio(sha256: string, bytes: Uint8Array<ArrayBuffer>): Promise<void> {
    await this.guarded(() => this.database.put('audio', bytes, sha256));
  }

  async loadAudio(sha256: string): Promise<Uint8Array<ArrayBuffer> | null> {
    return (await this.database.get('audio', sha256)) ?? null;
  }

  /** Takes sound files away that no channel of `document` uses. */
  async sweep(document: SessionDocument): Promise<void> {
    const used = new Set(document.channels.map(({ audio }) => audio?.sha256));
    for (const key of await this.database.getAllKeys('audio')) {
      if (!used.has(key)) await this.database.delete('audio', key);
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

/** SHA-256 of bytes in lower-case hex. */
export async function sha256Hex(bytes: Uint8Array<ArrayBuffer>): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
