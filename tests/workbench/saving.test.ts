/** What is kept in the browser, on an implementation of IndexedDB for Node. */
import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { openDB } from 'idb';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession, newChannel, VERSION } from '../../src/session/document.ts';
import { sha256Hex } from '../../src/session/hashes.ts';
import { SessionStorage } from '../../src/session/store/storage.ts';
import { copyName, Kept } from '../../src/workbench/kept.ts';
import { Notices } from '../../src/workbench/notices.ts';
import { Saving } from '../../src/workbench/saving.ts';
import type { SessionFiles } from '../../src/workbench/session-files.ts';

const bytes = (seed: number) => new Uint8Array(64).fill(seed);
const withFile = (sha256: string): SessionDocument => ({
  ...emptySession(48000, 'Harbour Hall'),
  channels: [
    newChannel('bass', 'Bass', {
      audio: { file: 'bass.wav', sha256, sampleRate: 48000, channelCount: 1, frames: 48000 },
    }),
  ],
});

let windows = 1;
let persisted = 0;
/** Locks that are held, by name: those of every tab, as a browser has them. */
let locks: Map<string, () => void>;

/** What a tab works on. */
class Work {
  steps = { past: [], future: [] };
  isWorthKeeping = true;
  constructor(public document: SessionDocument) {}
}

/** A tab of the tool with a session of its own. */
async function open(document: SessionDocument) {
  const notices = new Notices();
  const work = new Work(document);
  const saving = new Saving(work, notices);
  await saving.open();
  saving.begin('empty');
  const files = { saveUnread: async (...given: unknown[]) => void written.push(given) } as unknown as SessionFiles;
  const opened: string[] = [];
  const opener = {
    kept: async (id: string) => {
      const taken = await saving.take(id);
      if (!taken) return false;
      opened.push(taken.document.name);
      work.document = taken.document;
      saving.use(taken);
      return true;
    },
  };
  const kept = new Kept(saving, files, () => opener, notices);
  const texts = () => notices.notices.map(({ text }) => text);
  const store = async () => {
    saving.save();
    await saving.flush();
  };
  return { saving, notices, work, kept, opened, texts, store };
}

const written: unknown[] = [];
const raw = () => openDB('level-best');
const put = async (key: string, document: unknown) => (await raw()).put('documents', document, key);
const stored = async (): Promise<string[]> =>
  (await (await SessionStorage.open()).list()).map(({ name }) => name).sort();
/** Long enough for what would come at once, if it came. */
const settled = () => new Promise((resolve) => setTimeout(resolve, 300));

/** The browser's locks, as far as they are asked for. */
const lockManager = {
  async request(
    name: string,
    { ifAvailable = false, mode = 'exclusive', signal }: LockOptions,
    work: (lock: object | null) => unknown,
  ) {
    if (mode === 'shared') return;
    if (locks.has(name)) {
      if (ifAvailable) return work(null);
      await new Promise<void>((free, reject) => {
        signal?.addEventListener('abort', () => reject(signal.reason));
        const before = locks.get(name);
        locks.set(name, () => {
          before?.();
          free();
        });
      });
    }
    let ended: () => void = () => undefined;
    locks.set(name, () => ended());
    await Promise.race([work({}), new Promise<void>((end) => (ended = end))]);
    locks.delete(name);
  },
  query: async () => ({
    held: [
      ...Array.from({ length: windows }, () => ({ name: 'level-best-window' })),
      ...[...locks.keys()].map((name) => ({ name })),
    ],
  }),
};

beforeEach(() => {
  vi.stubGlobal('indexedDB', new IDBFactory());
  windows = 1;
  persisted = 0;
  written.length = 0;
  locks = new Map();
  vi.stubGlobal('navigator', { storage: { persist: async () => ++persisted > 0 }, locks: lockManager });
  vi.stubGlobal('requestIdleCallback', (work: () => void) => work());
});
afterEach(() => {
  vi.restoreAllMocks();
  vi.unstubAllGlobals();
});

describe('what is kept in the browser', () => {
  it('is asked to stay, once, when the first file of the user comes', async () => {
    const { saving } = await open(emptySession(48000));
    await saving.keepAudio(await sha256Hex(bytes(1)), bytes(1));
    expect(persisted).toBe(0);
    await saving.keepOwn(await sha256Hex(bytes(2)), bytes(2));
    await saving.keepOwn(await sha256Hex(bytes(3)), bytes(3));
    expect(persisted).toBe(1);
  });

  it('is swept of sound that nothing needs, but for what undo needs', async () => {
    const hashes = await Promise.all([1, 2, 3].map((seed) => sha256Hex(bytes(seed))));
    const before = await open(emptySession(48000));
    for (const [i, sha256] of hashes.entries()) await before.saving.keepAudio(sha256, bytes(i + 1));
    const { saving } = await open(withFile(hashes[0]));
    saving.sweepWhenIdle(() => [hashes[1]]);
    const left = async () => (await raw()).getAllKeys('audio');
    await vi.waitFor(async () => expect((await left()).sort()).toEqual([hashes[0], hashes[1]].sort()));
  });

  it('is left alone while another window is open', async () => {
    const sha256 = await sha256Hex(bytes(1));
    const before = await open(emptySession(48000));
    await before.saving.keepAudio(sha256, bytes(1));
    windows = 2;
    const { saving } = await open(emptySession(48000));
    saving.sweepWhenIdle(() => []);
    await settled();
    expect(await (await raw()).getAllKeys('audio')).toEqual([sha256]);
  });

  it('is saved soon, as it is then, and only where something was made of it', async () => {
    const { saving, work } = await open(emptySession(48000, 'Before'));
    work.isWorthKeeping = false;
    saving.save();
    await settled();
    expect(await stored()).toEqual([]);
    work.isWorthKeeping = true;
    saving.save();
    saving.save();
    work.document = emptySession(48000, 'After');
    await vi.waitFor(async () => expect(await stored()).toEqual(['After']));
    // What is there already is written whatever it is.
    work.isWorthKeeping = false;
    work.document = emptySession(48000, 'Taken back');
    saving.save();
    await vi.waitFor(async () => expect(await stored()).toEqual(['Taken back']));
  });

  it('is a session of its own from the moment another one stands in its place', async () => {
    const { saving, work, store } = await open(emptySession(48000, 'First'));
    await store();
    work.document = emptySession(48000, 'First, changed');
    saving.save();
    // As it is done where sessions are opened.
    void saving.flush();
    work.document = emptySession(48000, 'Second');
    saving.begin('empty');
    await store();
    expect(await stored()).toEqual(['First, changed', 'Second']);
  });

  it.each(['pagehide', 'visibilitychange'])('is handed over at %s, without waiting for its turn', async (event) => {
    const events = new EventTarget();
    vi.stubGlobal('addEventListener', events.addEventListener.bind(events));
    vi.stubGlobal('document', Object.assign(events, { visibilityState: 'hidden' }));
    const { saving, work, store } = await open(emptySession(48000, 'Before'));
    await store();
    work.document = emptySession(48000, 'At the last moment');
    const wait = vi.spyOn(globalThis, 'setTimeout').mockReturnValue(1 as never);
    saving.save();
    wait.mockRestore();
    events.dispatchEvent(new Event(event));
    expect(await stored()).toEqual(['At the last moment']);
  });

  it('is nothing where the browser refuses, which is told', async () => {
    vi.stubGlobal('indexedDB', undefined);
    const work = new Work(emptySession(48000));
    const saving = new Saving(work, new Notices());
    await expect(saving.open()).rejects.toThrow(/keeps no data.*Use a normal window/);
    saving.begin('empty');
    saving.save();
    await saving.flush();
    expect(saving.isKept).toBe(false);
  });

  it('is told to be not kept while the store is full', async () => {
    const { saving, store, texts } = await open(emptySession(48000, 'First'));
    vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(() => {
      throw new DOMException('full', 'QuotaExceededError');
    });
    await store();
    expect(saving.isKept).toBe(false);
    expect(texts()[0]).toMatch(/storage is full/);
    vi.restoreAllMocks();
    await store();
    expect(saving.isKept).toBe(true);
  });
});

describe('a session that another tab has', () => {
  it('is not opened, and is a copy of its own where that is wanted', async () => {
    const first = await open(emptySession(48000, 'Pier'));
    await first.store();
    const second = await open(emptySession(48000, 'Lighthouse'));
    await second.store();
    await second.kept.look();
    expect(second.kept.sessions.map(({ name, open }) => `${name} ${open}`).sort()).toEqual([
      'Lighthouse here',
      'Pier elsewhere',
    ]);
    const { id } = first.saving;
    const opening = second.kept.open(id);
    await opening;
    expect(second.opened).toEqual([]);
    expect(second.texts()).toEqual(['“Pier” is open in another tab. Close it there first, or open a copy.']);
    await second.kept.discard(id);
    expect(await stored()).toEqual(['Lighthouse', 'Pier']);
    await second.kept.openCopy(id);
    expect(second.opened).toEqual(['Pier, copy']);
    second.work.document = emptySession(48000, 'Pier, other bridge');
    await second.store();
    first.work.document = emptySession(48000, 'Pier at night');
    await first.store();
    expect(await stored()).toEqual(['Lighthouse', 'Pier at night', 'Pier, other bridge']);
  }, 20_000);

  it('is opened as soon as that one has another', async () => {
    const first = await open(emptySession(48000, 'Pier'));
    await first.store();
    const { id } = first.saving;
    first.saving.begin('empty');
    const second = await open(emptySession(48000, 'Lighthouse'));
    await second.kept.open(id);
    expect(second.opened).toEqual(['Pier']);
    expect(second.saving.id).toBe(id);
  });

  it('goes on as two sessions where the browser has no locks, and both are told', async () => {
    vi.stubGlobal('navigator', {});
    const first = await open(emptySession(48000, 'Pier'));
    await first.store();
    const second = await open(emptySession(48000));
    await second.kept.open(first.saving.id);
    expect(second.opened).toEqual(['Pier']);
    second.work.document = emptySession(48000, 'Pier, second tab');
    await second.store();
    first.work.document = emptySession(48000, 'Pier, first tab');
    await first.store();
    await vi.waitFor(async () => expect(await stored()).toEqual(['Pier, first tab', 'Pier, second tab']));
    expect(first.texts().join()).toMatch(/was changed in another tab\. Both are kept/);
    expect(second.texts()).toEqual([]);
  });
});

describe('the sessions of the browser', () => {
  it('are duplicated under names of their own, and discarded', async () => {
    const { kept, store, saving } = await open(emptySession(48000, 'Pier'));
    await store();
    await kept.duplicate(saving.id);
    await kept.duplicate(saving.id);
    expect(await stored()).toEqual(['Pier', 'Pier, copy', 'Pier, copy 2']);
    const copy = kept.sessions.find(({ name }) => name === 'Pier, copy 2');
    await kept.discard(copy?.id ?? '');
    expect(kept.sessions.map(({ name }) => name).sort()).toEqual(['Pier', 'Pier, copy']);
    // The own one is discarded by nobody.
    await kept.discard(saving.id);
    expect(await stored()).toEqual(['Pier', 'Pier, copy']);
  });

  it('are not opened while what was done last could not be kept', async () => {
    const { kept, store, work, saving, opened, texts } = await open(emptySession(48000, 'Pier'));
    await store();
    await kept.duplicate(saving.id);
    vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(() => {
      throw new DOMException('full', 'QuotaExceededError');
    });
    work.document = emptySession(48000, 'Pier, changed');
    saving.save();
    await kept.open(kept.sessions.find(({ name }) => name === 'Pier, copy')?.id ?? '');
    expect(opened).toEqual([]);
    expect(texts().join(' ')).toMatch(/so this session stays\. Save it as a file/);
  });

  it('tell of one that is damaged, which is saved with its sound or given up', async () => {
    const { kept, store, work, saving, notices, texts } = await open(emptySession(48000, 'Torn'));
    await store();
    const torn = saving.id;
    work.document = emptySession(48000, 'Mine');
    saving.begin('empty');
    await store();
    await put(torn, { format: 'level-best-session', version: VERSION, name: 4 });
    await kept.open(torn);
    expect(texts()[0]).toMatch(/damaged at "name"/);
    await kept.sayUnreadable();
    expect(texts().at(-1)).toContain("a session that this Level Best can't read. Under “Sessions…”");
    expect(kept.sessions.map(({ name, unreadable }) => `${name} ${unreadable}`).sort()).toEqual([
      'Mine null',
      'Torn damaged',
    ]);
    await kept.save(torn);
    expect(written).toEqual([['Torn', { format: 'level-best-session', version: VERSION, name: 4 }]]);
    await kept.discard(torn);
    expect(await stored()).toEqual(['Mine']);
    expect(notices.notices.length).toBe(2);
  });
});

describe('the name of a copy', () => {
  it('is one that no other session has', () => {
    expect(copyName('Pier', [])).toBe('Pier, copy');
    expect(copyName('Pier', ['Pier, copy'])).toBe('Pier, copy 2');
    expect(copyName('Pier, copy', ['Pier, copy', 'Pier, copy 2'])).toBe('Pier, copy 3');
  });
});
