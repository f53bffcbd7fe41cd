/** The browser's store, on an implementation of IndexedDB for Node; the real one is tested end to end. */
import 'fake-indexeddb/auto';
import { openDB } from 'idb';
import { afterEach, describe, expect, it, vi } from 'vitest';
import type { SessionDocument } from '../../../src/session/document.ts';
import { SessionError } from '../../../src/session/document.ts';
import { sha256Hex } from '../../../src/session/hashes.ts';
import { History } from '../../../src/session/history.ts';
import { parseRack } from '../../../src/session/rack-file.ts';
import { entryOf, previousKey } from '../../../src/session/store/database.ts';
import {
  isUnreadable,
  SessionStorage,
  StorageError,
  WrittenElsewhereError,
} from '../../../src/session/store/storage.ts';
import { someSession } from '../any-command.ts';

let stores = 0;
const freshName = () => `store-${++stores}`;
const called = (name: string): SessionDocument => ({ ...someSession(), name });
const NO_STEPS = { past: [], future: [] };
const work = (name: string) => ({ document: called(name), steps: NO_STEPS });
const raw = async (name: string) => openDB(name);
const stored = async (name: string, key: string) => (await (await raw(name)).get('documents', key)) as SessionDocument;
const names = async (storage: SessionStorage) => (await storage.list()).map((entry) => entry.name);

/** Puts something into the store past the tool, as a damage or another version would. */
async function put(name: string, key: string, document: unknown): Promise<void> {
  const database = await raw(name);
  await database.put('documents', document, key);
  database.close();
}

/** A store as version 1 of it was. */
async function firstVersion(name: string, documents: Record<string, unknown>): Promise<void> {
  const database = await openDB(name, 1, {
    upgrade(fresh) {
      fresh.createObjectStore('documents');
      fresh.createObjectStore('audio');
    },
  });
  for (const [key, document] of Object.entries(documents)) await database.put('documents', document, key);
  database.close();
}

afterEach(() => vi.restoreAllMocks());

/** The store fails at the n-th writing from now on. */
function failAt(count: number, fault: Error): void {
  const original = IDBObjectStore.prototype.put;
  let calls = 0;
  vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (this: IDBObjectStore, ...given) {
    if (++calls === count) throw fault;
    return original.apply(this, given);
  });
}

describe('sessions', () => {
  it('are none at first, and then what was written last of each, newest first', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    expect(await storage.list()).toEqual([]);
    const one = storage.begin('a');
    expect(one.isStored).toBe(false);
    await one.push(work('One'));
    expect(one.isStored).toBe(true);
    await new Promise((done) => setTimeout(done, 5));
    await storage.begin('b').push(work('Two'));
    expect(await names(storage)).toEqual(['Two', 'One']);
    await new Promise((done) => setTimeout(done, 5));
    await one.push(work('One, changed'));
    const again = await SessionStorage.open(name);
    expect(await names(again)).toEqual(['One, changed', 'Two']);
    expect((await again.load('a', 'x')).document).toEqual(called('One, changed'));
    expect((await again.load('b', 'x')).document).toEqual(called('Two'));
    expect((await again.list())[0]).toMatchObject({ id: 'a', channels: called('').channels.length });
  });

  it('never let an older one come after a newer one, and write only the newest of those that wait', async () => {
    const name = freshName();
    const writer = (await SessionStorage.open(name)).begin('a');
    const spy = vi.spyOn(IDBObjectStore.prototype, 'put');
    const saves = Array.from({ length: 50 }, (_, i) => writer.push(work(`Take ${i}`)));
    await Promise.all(saves);
    expect((await stored(name, 'a')).name).toBe('Take 49');
    const written = spy.mock.calls.filter(([, key]) => key === 'a').map(([value]) => value.name);
    expect(written.length).toBeLessThan(5);
    expect(written).toEqual([...written].sort());
  });

  it('are written in order when each save comes while another is under way', async () => {
    const writer = (await SessionStorage.open(freshName())).begin('a');
    const spy = vi.spyOn(IDBObjectStore.prototype, 'put');
    const saves: Promise<void>[] = [];
    for (let i = 10; i < 40; i++) {
      saves.push(writer.push(work(`Take ${i}`)));
      await new Promise((done) => setTimeout(done, i % 3));
    }
    await Promise.all(saves);
    const written = spy.mock.calls.filter(([, key]) => key === 'a').map(([value]) => value.name);
    expect(written).toEqual([...written].sort());
    expect(written.at(-1)).toBe('Take 39');
  });

  it('resolve a save only when that document or a newer one is stored', async () => {
    const name = freshName();
    const writer = (await SessionStorage.open(name)).begin('a');
    for (let i = 10; i < 20; i++) {
      const first = writer.push(work(`Take ${i} a`));
      writer.push(work(`Take ${i} b`));
      await first;
      expect((await stored(name, 'a')).name >= `Take ${i} a`).toBe(true);
    }
  });

  it('keep the last copy beside the current one', async () => {
    const name = freshName();
    const writer = (await SessionStorage.open(name)).begin('a');
    await writer.push(work('One'));
    await writer.push(work('Two'));
    expect((await stored(name, previousKey('a'))).name).toBe('One');
  });

  it('are handed over in one go when the page goes, whatever waits before them', async () => {
    const name = freshName();
    const writer = (await SessionStorage.open(name)).begin('a');
    await writer.push(work('One'));
    const before = [writer.push(work('Two')), writer.push(work('Three'))];
    const last = writer.pushAtOnce(work('Four'));
    await Promise.all([...before, last]);
    expect((await stored(name, 'a')).name).toBe('Four');
    await writer.push(work('Five'));
    expect((await stored(name, 'a')).name).toBe('Five');
  });

  it('are duplicated under another name, and discarded with all that belongs to them', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    const writer = storage.begin('a');
    await writer.push(work('One'));
    await writer.push(work('One, changed'));
    await storage.duplicate('a', 'b', 'One, copy');
    expect((await storage.load('b', 'x')).document).toEqual({ ...called('One, changed'), name: 'One, copy' });
    await storage.discard('a');
    expect(await names(storage)).toEqual(['One, copy']);
    expect(await (await raw(name)).getAllKeys('documents')).toEqual(['b']);
    await expect(storage.load('a', 'x')).rejects.toThrow(/not in the browser any more/);
    // A tab that still works on it brings it back whole.
    await writer.push(work('Still here'));
    expect((await storage.load('a', 'x')).document.name).toBe('Still here');
  });
});

describe('a session that two windows write', () => {
  it('is never written over by the one that does not know of the other', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    await storage.begin('a').push(work('One'));
    const [mine, other] = [await storage.load('a', 'x'), await (await SessionStorage.open(name)).load('a', 'y')];
    await mine.writer.push(work('Mine'));
    await mine.writer.push(work('Mine again'));
    await expect(other.writer.push(work('Other'))).rejects.toThrow(WrittenElsewhereError);
    expect((await stored(name, 'a')).name).toBe('Mine again');
    // Nor one that was begun under the same id.
    await expect(storage.begin('a').push(work('Third'))).rejects.toThrow(WrittenElsewhereError);
  });
});

describe('steps of undo', () => {
  const named = (history: History, ...all: string[]) => {
    for (const [i, title] of all.entries()) {
      history.dispatch({ type: 'rename-session', name: title }, 10_000 * i, `name ${title}`);
    }
  };
  const stepKeys = async (name: string) => (await raw(name)).getAllKeys('steps');

  it('come back with the session, and are written once each', async () => {
    const name = freshName();
    const writer = (await SessionStorage.open(name)).begin('a');
    const history = new History(called('One'));
    named(history, 'Two', 'Three', 'Four');
    const spy = vi.spyOn(IDBObjectStore.prototype, 'put');
    const written = () => spy.mock.contexts.filter((store) => (store as IDBObjectStore).name === 'steps').length;
    await writer.push(history);
    expect(written()).toBe(3);
    history.undo();
    await writer.push(history);
    expect(written()).toBe(3);
    const again = await (await SessionStorage.open(name)).load('a', 'x');
    const restored = History.restored(again.document, again.steps);
    expect(restored.document.name).toBe('Three');
    expect([restored.undoAbout, restored.redoAbout]).toEqual(['name Three', 'name Four']);
    restored.redo();
    expect(restored.document.name).toBe('Four');
    while (restored.undo());
    expect(restored.document).toEqual(called('One'));
    // A drag of this visit is none of the last visit's.
    named(restored, 'Five');
    expect(restored.steps.past.length).toBe(1);
    await again.writer.push(restored);
    expect((await stepKeys(name)).length).toBe(1);
  });

  it('go with the oldest that history lets go', async () => {
    const name = freshName();
    const writer = (await SessionStorage.open(name)).begin('a');
    const history = new History(called('One'));
    for (let i = 0; i < 230; i++) {
      named(history, `Take ${i}`);
      if (i % 20 === 0) await writer.push(history);
    }
    await writer.push(history);
    expect((await stepKeys(name)).length).toBe(200);
    const again = await (await SessionStorage.open(name)).load('a', 'x');
    expect(again.steps.past.map(({ about }) => about)).toEqual(history.steps.past.map(({ about }) => about));
  });

  it('are written whole again after a writing that failed', async () => {
    const name = freshName();
    const writer = (await SessionStorage.open(name)).begin('a');
    const history = new History(called('One'));
    named(history, 'Two');
    await writer.push(history);
    named(history, 'Three');
    failAt(2, new DOMException('full', 'QuotaExceededError'));
    await expect(writer.push(history)).rejects.toThrow(StorageError);
    vi.restoreAllMocks();
    named(history, 'Four');
    await writer.push(history);
    const again = await (await SessionStorage.open(name)).load('a', 'x');
    expect(again.steps.past.map(({ about }) => about)).toEqual(['name Two', 'name Three', 'name Four']);
    expect((await stepKeys(name)).length).toBe(3);
  });

  it('that lack, or don’t lead through sound documents, are let go', async () => {
    const name = freshName();
    const writer = (await SessionStorage.open(name)).begin('a');
    const history = new History(called('One'));
    named(history, 'Two', 'Three');
    await writer.push(history);
    const database = await raw(name);
    await database.delete('steps', ['a', 0]);
    database.close();
    const again = await (await SessionStorage.open(name)).load('a', 'x');
    expect(again.document.name).toBe('Three');
    expect(again.steps).toEqual(NO_STEPS);
    const [step] = history.steps.past;
    const wrong = { ...step, undo: [{ op: 'replace' as const, path: ['name'], value: 5 }] };
    expect(History.restored(called('Three'), { past: [wrong as never], future: [] }).canUndo).toBe(false);
    const lost = { ...step, undo: [{ op: 'replace' as const, path: ['nothing', 'here'], value: 5 }] };
    expect(History.restored(called('Three'), { past: [lost as never], future: [] }).canUndo).toBe(false);
  });
});

describe('a write that fails', () => {
  it.each([1, 2, 3])('at its step %i leaves both copies as they were, and the next one works', async (step) => {
    const name = freshName();
    const writer = (await SessionStorage.open(name)).begin('a');
    await writer.push(work('One'));
    await writer.push(work('Two'));
    failAt(step, new DOMException('full', 'QuotaExceededError'));
    await expect(writer.push(work('Three'))).rejects.toThrow(StorageError);
    vi.restoreAllMocks();
    expect((await stored(name, 'a')).name).toBe('Two');
    expect((await stored(name, previousKey('a'))).name).toBe('One');
    await writer.push(work('Four'));
    expect((await stored(name, 'a')).name).toBe('Four');
    expect((await stored(name, previousKey('a'))).name).toBe('Two');
  });

  it('says in a sentence whether the store is full', async () => {
    const storage = await SessionStorage.open(freshName());
    failAt(1, new DOMException('full', 'QuotaExceededError'));
    await expect(storage.begin('a').push(work('One'))).rejects.toThrow(/storage is full.*Free some space/);
    failAt(1, new Error('disk'));
    await expect(storage.saveAudio('a'.repeat(64), new Uint8Array(4))).rejects.toThrow(/did not store the last change/);
  });
});

describe('a session that cannot be read', () => {
  it('stays as it is and is marked, and its last good copy is a session of its own', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    const writer = storage.begin('a');
    await writer.push(work('One'));
    await writer.push(work('Two'));
    const damaged = { ...called('Two'), channels: 'gone' };
    await put(name, 'a', damaged);
    const copy = await storage.load('a', 'fresh');
    expect(copy.document.name).toBe('One');
    expect(copy.writer.id).toBe('fresh');
    expect(copy.notice).toMatch(/damaged at "channels".*last copy that can be read; the other one is kept\.$/);
    expect(await stored(name, 'a')).toEqual(damaged);
    await copy.writer.push(work('Three'));
    expect((await storage.list()).map(({ id }) => id).sort()).toEqual(['a', 'fresh']);
    expect((await storage.list()).filter(isUnreadable).map(({ id }) => id)).toEqual(['a']);
    expect(await storage.unread('a')).toEqual({ name: 'Two', document: damaged });
  });

  it('of a newer version is refused politely, and nothing of it is touched', async () => {
    const name = freshName();
    const storage = await SessionStorage.open(name);
    const newer = { ...called('From tomorrow'), version: 99 };
    await storage.begin('a').push({ document: newer as unknown as SessionDocument, steps: NO_STEPS });
    await expect(storage.load('a', 'x')).rejects.toThrow(SessionError);
    await expect(storage.load('a', 'x')).rejects.toThrow(/version 99, newer than this tool reads.*stays as it is/);
    const [entry] = await storage.list();
    expect([entry.damaged, isUnreadable(entry)]).toEqual([undefined, true]);
    expect(await stored(name, 'a')).toEqual(newer);
  });

  it('of the version before is brought up to date', async () => {
    const name = freshName();
    const { notes, scenes, sides, scope, allDrivesDb, links, soloThroughBuses, ...old } = called('Old');
    const storage = await SessionStorage.open(name);
    await storage.begin('a').push(work('Old'));
    await put(name, 'a', { ...old, version: 1, channels: [], buses: [] });
    expect((await storage.load('a', 'x')).document.scenes).toEqual([]);
  });
});

describe('a store of one session, as it was before', () => {
  it('is taken over with its last copy, and with what could not be read', async () => {
    const name = freshName();
    const torn = { ...called('Torn'), channels: 'gone' };
    const newer = { ...called('From tomorrow'), version: 99 };
    await firstVersion(name, {
      current: called('Mine'),
      previous: called('Mine before'),
      'aside 2026-11-01T10:00:00.000Z': newer,
      'aside 2026-11-02T10:00:00.000Z': torn,
    });
    const database = await raw(name);
    await database.put('audio', new Uint8Array(4), 'a'.repeat(64));
    database.close();
    const storage = await SessionStorage.open(name);
    expect(await names(storage)).toEqual(['Mine', 'Torn', 'From tomorrow']);
    expect((await storage.list()).map(isUnreadable)).toEqual([false, true, true]);
    expect((await storage.list())[1]?.changed).toBe(Date.parse('2026-11-02T10:00:00.000Z'));
    expect(await storage.hasAudio('a'.repeat(64))).toBe(true);
    const mine = await storage.load('current', 'x');
    expect(mine.document).toEqual(called('Mine'));
    await mine.writer.push(work('Mine, changed'));
    expect((await storage.load('current', 'x')).document.name).toBe('Mine, changed');
    await put(name, 'current', torn);
    expect((await storage.load('current', 'x')).document.name).toBe('Mine');
    expect((await storage.unread('aside 2026-11-02T10:00:00.000Z')).document).toEqual(torn);
  });

  it('may hold one that can not be read, whose last copy comes in its place', async () => {
    const name = freshName();
    await firstVersion(name, { current: { ...called('Torn'), name: 5 }, previous: called('Before') });
    const storage = await SessionStorage.open(name);
    expect((await storage.load('current', 'fresh')).document.name).toBe('Before');
  });

  it('that an older window still holds is left alone, which is said', async () => {
    const name = freshName();
    await firstVersion(name, { current: called('Mine') });
    const older = await openDB(name, 1);
    await expect(SessionStorage.open(name)).rejects.toThrow(/older Level Best.*Close that window, then reload/);
    older.close();
  });
});

describe('a store that a newer version of the tool wants', () => {
  it('is let go, which is told', async () => {
    const name = freshName();
    const outdated = vi.fn();
    await SessionStorage.open(name, outdated);
    const newer = await openDB(name, 99);
    expect(outdated).toHaveBeenCalledOnce();
    newer.close();
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

  it('goes when nothing needs it: no session that is stored, and no step of undo', async () => {
    const name = freshName();
    const hashes = { current: '1', previous: '2', damaged: '3', given: '4', nobody: '5', undo: '6' } as const;
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

    const history = new History(using(hashes.undo));
    for (const { id } of history.document.channels) history.dispatch({ type: 'remove-channel', channelId: id }, 0);
    await before.begin('undone').push(history);
    const writer = before.begin('a');
    await writer.push({ document: using(hashes.previous), steps: NO_STEPS });
    await writer.push({ document: using(hashes.current), steps: NO_STEPS });
    before.close();
    await put(name, 'damaged', { ...using(hashes.damaged), version: 99 });
    const after = await SessionStorage.open(name);
    await after.sweep(using(hashes.given));
    const left = await Promise.all(Object.values(hashes).map((digit) => after.hasAudio(hash(digit))));
    expect(left).toEqual([true, true, true, true, false, true]);
  });
});

describe('starting points of the user', () => {
  const rack = { name: 'Low tide', about: '', stages: someSession().channels[0].rack.stages };

  it('are kept beside the sessions, one by one, and come back as racks', async () => {
    const storage = await SessionStorage.open(freshName());
    await storage.saveRack('a', rack);
    await storage.saveRack('b', { ...rack, name: 'High tide' });
    await storage.discardRack('a');
    const kept = await storage.racks();
    expect([...kept.keys()]).toEqual(['b']);
    expect(parseRack(kept.get('b'))).toEqual({ ...rack, name: 'High tide' });
  });

  it('have room in a store of version 2, whose sessions stay', async () => {
    const name = freshName();
    const before = await openDB(name, 2, {
      upgrade(fresh) {
        fresh.createObjectStore('documents');
        fresh.createObjectStore('audio');
        fresh.createObjectStore('sessions', { keyPath: 'id' });
        fresh.createObjectStore('steps');
      },
    });
    await before.put('documents', called('Old pier'), 'one');
    await before.put('sessions', entryOf('one', called('Old pier')));
    before.close();
    const storage = await SessionStorage.open(name);
    await storage.saveRack('a', rack);
    expect(await names(storage)).toEqual(['Old pier']);
    expect((await storage.racks()).size).toBe(1);
  });
});
