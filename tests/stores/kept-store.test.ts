/** What the screen relies on of kept sessions: in a browser's store, on an IndexedDB for Node, and in memory. */
import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { emptySession, newChannel } from '../../src/session/document.ts';
import type { KeptSession, KeptStore } from '../../src/stores/kept-store.ts';
import { Kept } from '../../src/workbench/kept.ts';
import { Notices } from '../../src/workbench/notices.ts';
import { Saving } from '../../src/workbench/saving.ts';
import type { SessionFiles } from '../../src/workbench/session-files.ts';
import { MemoryKept } from '../browser/fixture/files.ts';
import { observable, told, toldWhile, unlike } from './contract.ts';

interface Rig {
  readonly kept: KeptStore;
  /** Another tab has the one that this one would have shown. */
  take(): void;
}

const pier = () => ({ ...emptySession(48_000, 'Pier'), channels: [newChannel('bass', 'Bass')] });

/** Dunes is stored, then Pier, which is open here. */
async function inTheBrowser(): Promise<Rig> {
  const notices = new Notices();
  const work = { document: { ...pier(), name: 'Dunes' }, steps: { past: [], future: [] }, isWorthKeeping: true };
  const saving = new Saving(work, notices);
  await saving.open();
  const store = async () => {
    saving.begin('empty');
    saving.save();
    await saving.flush();
  };
  await store();
  // They are stored at other times.
  await new Promise((resolve) => setTimeout(resolve, 5));
  work.document = pier();
  await store();
  const opener = {
    kept: async (id: string) => {
      const taken = await saving.take(id);
      if (!taken) return false;
      work.document = taken.document;
      saving.use(taken);
      return true;
    },
  };
  const kept = new Kept(saving, {} as SessionFiles, () => opener, notices);
  await kept.look();
  return {
    kept,
    take: () => kept.tell({ id: 'x', name: 'Lighthouse', changed: 1, channels: 3, version: 4 } as never),
  };
}

async function inMemory(): Promise<Rig> {
  const kept = new MemoryKept();
  const entry = { changed: 2, channels: 1, open: 'here', unreadable: null } as const;
  kept.set({
    sessions: [
      { ...entry, id: 'pier', name: 'Pier' },
      { ...entry, id: 'dunes', name: 'Dunes', changed: 1, open: 'nowhere' },
    ],
  });
  await kept.look();
  const taken: KeptSession = { ...entry, id: 'x', name: 'Lighthouse', changed: 1, channels: 3, open: 'elsewhere' };
  return { kept, take: () => kept.set({ taken }) };
}

beforeEach(() => {
  vi.stubGlobal('indexedDB', new IDBFactory());
  // A browser without locks: what is open here is known all the same.
  vi.stubGlobal('navigator', {});
});
afterEach(() => vi.unstubAllGlobals());

const RIGS: [string, () => Promise<Rig>][] = [
  ['in the browser', inTheBrowser],
  ['in memory', inMemory],
];
const listed = ({ sessions }: KeptStore) => sessions.map(({ name, open }) => `${name}: ${open}`).sort();
const idOf = ({ sessions }: KeptStore, wanted: string) => sessions.find(({ name }) => name === wanted)?.id as string;

describe.each(RIGS)('kept sessions, %s', (_, make) => {
  it('are listed by name and place, the one that was changed last first', async () => {
    const { kept } = await make();
    expect(kept.sessions.map(({ name }) => name)).toEqual(['Pier', 'Dunes']);
    expect(listed(kept)).toEqual(['Dunes: nowhere', 'Pier: here']);
    expect([kept.isKept, kept.taken]).toEqual([true, null]);
  });

  it('are one more with a duplicate, and this one stays', async () => {
    const { kept } = await make();
    expect(await toldWhile(kept, () => kept.duplicate(idOf(kept, 'Dunes')))).toBeGreaterThan(0);
    expect(listed(kept)).toEqual(['Dunes, copy: nowhere', 'Dunes: nowhere', 'Pier: here']);
    expect(new Set(kept.sessions.map(({ id }) => id)).size).toBe(3);
  });

  it('take this one’s place where they are opened', async () => {
    const { kept } = await make();
    expect(await toldWhile(kept, () => kept.open(idOf(kept, 'Dunes')))).toBeGreaterThan(0);
    expect(listed(kept)).toEqual(['Dunes: here', 'Pier: nowhere']);
  });

  it('are opened as a copy beside the other', async () => {
    const { kept } = await make();
    await kept.openCopy(idOf(kept, 'Dunes'));
    expect(listed(kept)).toEqual(['Dunes, copy: here', 'Dunes: nowhere', 'Pier: nowhere']);
  });

  it('go for good where they are discarded, but not the one that is open here', async () => {
    const { kept } = await make();
    const ids = [idOf(kept, 'Dunes'), idOf(kept, 'Pier')];
    expect(await toldWhile(kept, () => kept.discard(ids[0]))).toBeGreaterThan(0);
    await kept.discard(ids[1]);
    expect(listed(kept)).toEqual(['Pier: here']);
  });

  it('that another tab has are said until that was seen', async () => {
    const { kept, take } = await make();
    expect(told(kept, take)).toBeGreaterThan(0);
    expect(kept.taken).toMatchObject({ name: 'Lighthouse', open: 'elsewhere' });
    observable(kept, () => kept.leaveTaken());
    expect(kept.taken).toBeNull();
  });
});

it('entries in memory are made like those of the browser', async () => {
  const [one, other] = [await inTheBrowser(), await inMemory()];
  expect(unlike(one.kept.sessions, other.kept.sessions)).toEqual([]);
});
