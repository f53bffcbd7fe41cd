import type { DBSchema, IDBPDatabase, IDBPTransaction, StoreNames } from 'idb';
import { openDB } from 'idb';
import type { Step } from '../history.ts';
import { StorageError } from './storage-error.ts';

/** What is known of a stored session without reading it. */
export interface SessionEntry {
  readonly id: string;
  readonly name: string;
  /** When it was stored last, ms since 1970. */
  readonly changed: number;
  readonly channels: number;
  /** Of its document. */
  readonly version: number;
  /** Another one after each writing, so that nobody writes over what somebody else wrote meanwhile. */
  readonly stamp: string;
  /** Keys of its steps of undo, each with the next one last. */
  readonly past: readonly number[];
  readonly future: readonly number[];
  /** Its document was found to be damaged. */
  readonly damaged?: true;
}

export interface SessionDatabase extends DBSchema {
  sessions: { key: string; value: SessionEntry };
  /** Each session's document under its id, and its last copy before under `previousKey`. */
  documents: { key: string; value: unknown };
  /** Steps of undo, each under its session's id and a number of its own. */
  steps: { key: [string, number]; value: Step };
  /** Sound files as they came, under their SHA-256; sessions share them. */
  audio: { key: string; value: Uint8Array<ArrayBuffer> };
  /** The user's own starting points, as `rackFile` writes them. */
  racks: { key: string; value: unknown };
}

export type Database = IDBPDatabase<SessionDatabase>;

export const previousKey = (id: string) => `${id} previous`;

/**
 * @param outdated a newer version of this tool wants the database, so this window has let go of it
 * @throws StorageError where the browser keeps nothing, or an older version of this tool holds the database
 */
export async function openDatabase(name: string, outdated: () => void): Promise<Database> {
  let isBlocked = false;
  let database: Database | undefined;
  try {
    database = await new Promise<Database>((resolve, reject) => {
      const opening = openDB<SessionDatabase>(name, 3, {
        async upgrade(fresh, from, _to, transaction) {
          if (from < 1) {
            fresh.createObjectStore('documents');
            fresh.createObjectStore('audio');
          }
          if (from < 2) {
            fresh.createObjectStore('sessions', { keyPath: 'id' });
            fresh.createObjectStore('steps');
          }
          fresh.createObjectStore('racks');
          if (from === 1) await adoptSingleSession(transaction);
        },
        blocked: () => {
          isBlocked = true;
          reject(new Error('blocked'));
        },
        blocking: () => {
          database?.close();
          outdated();
        },
      });
      // When the older window closes at last, nobody waits for it any more.
      opening.then((late) => (isBlocked ? late.close() : resolve(late)), reject);
    });
    return database;
  } catch {
    throw new StorageError(
      isBlocked
        ? 'Another window shows an older Level Best, so this one keeps nothing yet. Close that window, then reload this page.'
        : 'This browser window keeps no data, so a reload will lose the session. Use a normal window to keep it.',
    );
  }
}

type Upgrade = IDBPTransaction<SessionDatabase, StoreNames<SessionDatabase>[], 'versionchange'>;

/**
 * Version 1 had one session under "current", its last copy under "previous", and documents that couldn't be read under
 * "aside" and a time. They become sessions and stay under their keys, so that what is damaged needn't be written again.
 */
async function adoptSingleSession(transaction: Upgrade): Promise<void> {
  const documents = transaction.objectStore('documents');
  for (const key of await documents.getAllKeys()) {
    const document = await documents.get(key);
    if (key === 'previous') {
      await documents.put(document, previousKey('current'));
      await documents.delete(key);
      continue;
    }
    const aside = /^aside (.+)$/.exec(key)?.[1];
    const changed = aside === undefined ? Date.now() : Date.parse(aside);
    const entry = entryOf(key, document, { changed: Number.isFinite(changed) ? changed : Date.now() });
    await transaction.objectStore('sessions').put(aside === undefined ? entry : { ...entry, damaged: true });
  }
}

/** The entry of any document, also of one that can't be read. */
export function entryOf(id: string, document: unknown, more: Partial<SessionEntry> = {}): SessionEntry {
  const { name, version, channels } = (document ?? {}) as Record<string, unknown>;
  return {
    id,
    name: typeof name === 'string' ? name.slice(0, 200) : '',
    changed: Date.now(),
    channels: Array.isArray(channels) ? channels.length : 0,
    version: typeof version === 'number' ? version : 0,
    stamp: crypto.randomUUID(),
    past: [],
    future: [],
    ...more,
  };
}
