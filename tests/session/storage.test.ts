/** The browser's store, on an implementation of IndexedDB for Node; the real one is tested end to end. */
import 'fake-indexeddb/auto';
import { openDB } from 'idb';
import { afterEach, describe, expect, it, vi } from 'vitest';
import type { SessionDocument } from '../../src/session/document.ts';
import { SessionError } from '../../src/session/document.ts';
import { SessionStorage, StorageError, sha256Hex } from '../../src/session/storage.ts';
import { someSession } from './any-command.ts';

let stores = 0;
const freshName = () => `store-${++stores}`;
const called = (name: string): SessionDocument => ({ ...someSession(), name });
const raw = async (name: string) => openDB(name);
const stored = async (name: string, key: string) => (await (await raw(name)).get('documents', key)) as SessionDocument;

/** Puts something into the store past the tool, as a damage or another version would. */
async function put(name: string, key: string, document: unknown): Promise<void> {
  const database = await raw(name);
  await database.put('documents', document, key);
  database.close();
}

afterEach(() => vi.restoreAllMocks());

/** The store fails at the n-th writing of a document from now on. */
function failAt(count: number, fault: Error): void {
  const original = IDBObjectStore.prototype.put;
  let calls = 0;
  vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (this: IDBObjectStore, ...given) {
    if (++calls === count) throw fault;
    return original.apply(this, given);
  });
}

describe('documents', () => {
  it('are none at first, and then what was saved last', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    expect(await storage.load()).toBeNull();
    await storage.save(called('One'));
    expect(await storage.load()).toEqual(called('One'));
    await storage.save(called('Two'));
    const again = await SessionStorage.open(name);
    expect(await again.load()).toEqual(called('Two'));
    expect(again.notice).toBeNull();
  });

  it('never let an older one come after a newer one, and write only the newest of those that wait', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    const spy = vi.spyOn(IDBObjectStore.prototype, 'put');
    const saves = Array.from({ length: 50 }, (_, i) => storage.save(called(`Take ${i}`)));
    await saves[0];
    await Promise.all(saves);
    expect((await stored(name, 'current')).name).toBe('Take 49');
    const written = spy.mock.calls.filter(([, key]) => key === 'current').map(([value]) => value.name);
    expect(written.length).toBeLessThan(5);
    expect(written).toEqual([...written].sort());
  });

  it('are written in order when each save comes while another is under way', async () => {
    const storage = await SessionStorage.open(freshName());
    const spy = vi.spyOn(IDBObjectStore.prototype, 'put');
    const saves: Promise<void>[] = [];
    for (let i = 10; i < 40; i++) {
      saves.push(storage.save(called(`Take ${i}`)));
      await new Promise((done) => setTimeout(done, i % 3));
    }
    await Promise.all(saves);
    const written = spy.mock.calls.filter(([, key]) => key === 'current').map(([value]) => value.name);
    expect(written).toEqual([...written].sort());
    expect(written.at(-1)).toBe('Take 39');
  });

  it('resolve a save only when that document or a newer one is stored', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    for (let i = 10; i < 20; i++) {
      const first = storage.save(called(`Take ${i} a`));
      storage.save(called(`Take ${i} b`));
      await first;
      expect((await stored(name, 'current')).name >= `Take ${i} a`).toBe(true);
    }
  });

  it('keep the last copy beside the current one', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    await storage.save(called('One'));
    await storage.save(called('Two'));
    expect((await stored(name, 'previous')).name).toBe('One');
  });
});

describe('a write that fails', () => {
  it.each([1, 2])('at its step %i leaves both copies as they were, and the next one works', async (step) => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    await storage.save(called('One'));
    await storage.save(called('Two'));
    failAt(step, new DOMException('full', 'QuotaExceededError'));
    await expect(storage.save(called('Three'))).rejects.toThrow(StorageError);
    vi.restoreAllMocks();
    expect((await stored(name, 'current')).name).toBe('Two');
    expect((await stored(name, 'previous')).name).toBe('One');
    await storage.save(called('Four'));
    expect((await storage.load())?.name).toBe('Four');
  });

  it('says in a sentence whether the store is full', async () => {
    const storage = await SessionStorage.open(freshName());
    failAt(1, new DOMException('full', 'QuotaExceededError'));
    await expect(storage.save(called('One'))).rejects.toThrow(/storage is full.*Free some space/);
    failAt(1, new Error('disk'));
    await expect(storage.saveAudio('a'.repeat(64), new Uint8Array(4))).rejects.toThrow(/did not store the last change/);
  });
});

describe('a document that cannot be read', () => {
  it('gives place to the last good copy and is kept aside by the next save', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    await storage.save(called('One'));
    await storage.save(called('Two'));
    const damaged = { ...called('Two'), channels: 'gone' };
    await put(name, 'current', damaged);
    expect((await storage.load())?.name).toBe('One');
    expect(storage.notice).toMatch(/damaged at "channels".*last copy that can be read; the other one is kept\.$/);
    expect(await stored(name, 'current')).toEqual(damaged);
    await storage.save(called('Three'));
    await storage.save(called('Four'));
    expect((await storage.asides()).map(({ document }) => document)).toEqual([damaged]);
    expect((await stored(name, 'previous')).name).toBe('Three');
    expect((await storage.load())?.name).toBe('Four');
    expect(storage.notice).toBeNull();
  });

  it('of a newer version is refused politely and kept, also when another window wrote it meanwhile', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    const newer = { ...called('From tomorrow'), version: 99 };
    await put(name, 'current', newer);
    await expect(storage.load()).rejects.toThrow(SessionError);
    await expect(storage.load()).rejects.toThrow(/version 99, newer than this tool reads.*stays as it is/);
    await storage.save(called('One'));
    await new Promise((done) => setTimeout(done, 5));
    await put(name, 'current', { ...newer, version: 100 });
    await storage.save(called('Two'));
    const versions = (await storage.asides()).map(({ document }) => (document as SessionDocument).version);
    expect(versions).toEqual([99, 100]);
    expect((await storage.load())?.name).toBe('Two');
  });

  it('of the version before is brought up to date', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    const { notes, scenes, sides, scope, macroDriveDb, links, soloThroughBuses, ...old } = called('Old');
    await put(name, 'current', { ...old, version: 1, channels: [], buses: [] });
    expect((await storage.load())?.scenes).toEqual([]);
  });
});

describe('sound', () => {
  const bytes = Uint8Array.from({ length: 5000 }, (_, i) => (i * 7) & 255);

  it('comes back to the byte, under its own hash', async () => {
    const storage = await SessionStorage.open(freshName());
    const sha256 = await sha256Hex(bytes);
    expect(sha256).toMatch(/^[0-9a-f]{64}$/);
    expect(await storage.loadAudio(sha256)).toBeNull();
    await storage.saveAudio(sha256, bytes);
    expect(await storage.hasAudio(sha256)).toBe(true);
    const back = await storage.loadAudio(sha256);
    expect(back).toEqual(bytes);
    expect(await sha256Hex(back as Uint8Array<ArrayBuffer>)).toBe(sha256);
  });

  it('goes when nothing needs it: no document stored anywhere, and no undo', async () => {
    const name = freshName();
    const hashes = { current: '1', previous: '2', aside: '3', given: '4', nobody: '5' } as const;
    const hash = (digit: string) => digit.repeat(64);
    const using = (digit: string) => {
      const document = called(`With ${digit}`);
      for (const { audio } of document.channels) if (audio) audio.sha256 = hash(digit);
      return document;
    };
    const before = await SessionStorage.open(name);
    for (const digit of Object.values(hashes)) await before.saveAudio(hash(digit), bytes);
    await before.sweep(using(hashes.given));
    // It came in this visit, so undo may want it.
    expect(await before.hasAudio(hash(hashes.nobody))).toBe(true);
    before.close();

    await put(name, 'aside 2026', { ...using(hashes.aside), version: 99 });
    await put(name, 'previous', using(hashes.previous));
    await put(name, 'current', using(hashes.current));
    const after = await SessionStorage.open(name);
    await after.sweep(using(hashes.given));
    const left = await Promise.all(Object.values(hashes).map((digit) => after.hasAudio(hash(digit))));
    expect(left).toEqual([true, true, true, true, false]);
  });
});
