/** What is kept in the browser, on an implementation of IndexedDB for Node. */
import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { openDB } from 'idb';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession, newChannel, VERSION } from '../../src/session/document.ts';
import { sha256Hex } from '../../src/session/storage.ts';
import { Kept } from '../../src/workbench/kept.ts';
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

/** A window of the tool; the browser's locks are counted by hand. */
async function open(document: SessionDocument): Promise<{ saving: Saving; notices: Notices }> {
  const notices = new Notices();
  const saving = new Saving(() => document, notices);
  await saving.open();
  return { saving, notices };
}

const stored = async (store: 'audio' | 'documents') => (await openDB('level-best')).getAllKeys(store);
const put = async (key: string, document: unknown) => (await openDB('level-best')).put('documents', document, key);
/** Long enough for what would come at once, if it came. */
const settled = () => new Promise((resolve) => setTimeout(resolve, 300));

beforeEach(() => {
  vi.stubGlobal('indexedDB', new IDBFactory());
  windows = 1;
  persisted = 0;
  vi.stubGlobal('navigator', {
    storage: { persist: async () => ++persisted > 0 },
    locks: {
      request: async () => undefined,
      query: async () => ({ held: Array.from({ length: windows }, () => ({ name: 'level-best-window' })) }),
    },
  });
  vi.stubGlobal('requestIdleCallback', (work: () => void) => work());
});
afterEach(() => vi.unstubAllGlobals());

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
    await vi.waitFor(async () => expect((await stored('audio')).sort()).toEqual([hashes[0], hashes[1]].sort()));
  });

  it('is left alone while another window is open', async () => {
    const sha256 = await sha256Hex(bytes(1));
    const before = await open(emptySession(48000));
    await before.saving.keepAudio(sha256, bytes(1));
    windows = 2;
    const { saving } = await open(emptySession(48000));
    saving.sweepWhenIdle(() => []);
    await settled();
    expect(await stored('audio')).toEqual([sha256]);
  });

  it('is told of where it is the last good copy', async () => {
    await (await open(emptySession(48000))).saving.open();
    await put('current', { format: 'level-best-session', version: VERSION, name: 4 });
    await put('previous', emptySession(48000, 'The copy'));
    const { notices } = await open(emptySession(48000));
    expect(notices.notices.map(({ text }) => text).join()).toContain(
      'This is the last copy that can be read; the other one is kept.',
    );
  });

  it('lists what it can not read, saves it with its sound, and gives it up', async () => {
    const sha256 = await sha256Hex(bytes(1));
    const newer = { version: VERSION + 1, name: 'From tomorrow', channels: [{ what: sha256 }] };
    await (await open(emptySession(48000))).saving.keepAudio(sha256, bytes(1));
    await put('aside 2026-11-01T10:00:00.000Z', newer);
    await put('aside 2026-11-02T10:00:00.000Z', { version: VERSION });
    const { saving, notices } = await open(emptySession(48000));
    const written: unknown[] = [];
    const files = { saveUnread: async (name: string, document: unknown) => void written.push([name, document]) };
    const kept = new Kept(saving, files as unknown as SessionFiles, notices);
    await kept.look();
    expect(kept.sessions.map(({ name, reason, day }) => `${name}, ${reason}, ${day}`)).toEqual([
      'From tomorrow, newer, 2026-11-01',
      'A session without a name, damaged, 2026-11-02',
    ]);
    expect(notices.notices[0].text).toContain("2 sessions that this Level Best can't read");
    await kept.save(kept.sessions[0].key);
    expect(written).toEqual([['From tomorrow', newer]]);
    await kept.forget(kept.sessions[1].key);
    await kept.forget('current');
    expect(kept.sessions.length).toBe(1);
    expect((await saving.asides()).map(({ document }) => document)).toEqual([newer]);
  });

  it('is saved soon, as it is then', async () => {
    let name = 'Before';
    const saving = new Saving(() => emptySession(48000, name), new Notices());
    await saving.open();
    saving.save();
    saving.save();
    name = 'After';
    await vi.waitFor(async () => {
      const again = new Saving(() => emptySession(48000), new Notices());
      expect((await again.open())?.name).toBe('After');
    });
  });
});
