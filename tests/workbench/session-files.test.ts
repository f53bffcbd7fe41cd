/** Session files that are written: whole, from the store or from memory, or not at all. */
import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession, newChannel } from '../../src/session/document.ts';
import { sha256Hex } from '../../src/session/hashes.ts';
import { openSessionFile } from '../../src/session/session-file.ts';
import { Notices } from '../../src/workbench/notices.ts';
import { Saving } from '../../src/workbench/saving.ts';
import { SessionFiles } from '../../src/workbench/session-files.ts';
import { Sounds } from '../../src/workbench/sounds.ts';

const written: { name: string; bytes: Uint8Array<ArrayBuffer> }[] = [];
vi.mock('browser-fs-access', () => ({
  fileSave: async (content: Blob | Response, { fileName }: { fileName: string }) => {
    written.push({ name: fileName, bytes: new Uint8Array(await content.arrayBuffer()) });
  },
}));

const bytes = (seed: number) => new Uint8Array(64).fill(seed);
const channel = (name: string, sha256: string) =>
  newChannel(name, name, { audio: { file: `${name}.wav`, sha256, sampleRate: 48000, channelCount: 1, frames: 64 } });

async function rig() {
  const notices = new Notices();
  const hashes = await Promise.all([1, 2].map((seed) => sha256Hex(bytes(seed))));
  const document: SessionDocument = {
    ...emptySession(48000, 'Pier recording'),
    channels: [channel('melodica', hashes[0]), channel('shaker', hashes[1])],
  };
  const saving = new Saving({ document, steps: { past: [], future: [] }, isWorthKeeping: true }, notices);
  const sounds = new Sounds(async (planes) => planes);
  const files = new SessionFiles(sounds, saving, notices);
  const texts = () => notices.notices.filter(({ kind }) => kind === 'fault').map(({ text }) => text);
  return { saving, files, document, hashes, texts, notices };
}

/** The browser's store takes documents and no sound, as one that is full does. */
function refuseSound(): void {
  const put = IDBObjectStore.prototype.put;
  vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (this: IDBObjectStore, ...given) {
    if (this.name === 'audio') throw new DOMException('full', 'QuotaExceededError');
    return put.apply(this, given);
  });
}

beforeEach(() => {
  vi.stubGlobal('indexedDB', new IDBFactory());
  written.length = 0;
});
afterEach(() => {
  vi.restoreAllMocks();
  vi.unstubAllGlobals();
});

const opened = () => openSessionFile(written[0].bytes, sha256Hex);

describe('a session that is saved with its sound', () => {
  it('is whole where the store refuses sound', async () => {
    const { saving, files, document, hashes, texts } = await rig();
    await saving.open();
    refuseSound();
    for (const [i, sha256] of hashes.entries()) await saving.keepOwn(sha256, bytes(i + 1));
    expect(await files.save(document, true)).toBe(true);
    const { audio, missing } = await opened();
    expect(missing).toEqual([]);
    expect([...audio.keys()]).toEqual(hashes);
    expect(texts()).toEqual([]);
  });

  it('is whole where there is no store at all', async () => {
    const { saving, files, document, hashes } = await rig();
    for (const [i, sha256] of hashes.entries()) await saving.keepOwn(sha256, bytes(i + 1));
    expect(await files.save(document, true)).toBe(true);
    expect((await opened()).missing).toEqual([]);
  });

  it('is not written where a sound lacks, which is named', async () => {
    const { saving, files, document, hashes, texts } = await rig();
    await saving.open();
    await saving.keepOwn(hashes[0], bytes(1));
    expect(await files.save(document, true)).toBe(false);
    expect(written).toEqual([]);
    expect(texts()).toEqual([
      'The session was not saved: the sound of shaker.wav is not here, so the file would not be whole. Bring it back with “Find file…” at the channel, or save the session without audio.',
    ]);
    expect(await files.save(document, false)).toBe(true);
    expect(written.map(({ name }) => name)).toEqual(['Pier recording.json']);
  });

  it('is not written where the store loses a sound meanwhile', async () => {
    const { saving, files, document, hashes, texts } = await rig();
    await saving.open();
    for (const [i, sha256] of hashes.entries()) await saving.keepOwn(sha256, bytes(i + 1));
    vi.spyOn(saving, 'loadAudio').mockResolvedValue(null);
    expect(await files.save(document, true)).toBe(false);
    expect(written).toEqual([]);
    expect(texts()[0]).toMatch(/^The session was not saved: the sound of melodica\.wav is not here/);
  });
});

describe('a session that can not be read here', () => {
  it('is saved with what is left of its sound, and says how much lacks', async () => {
    const { saving, files, hashes, notices } = await rig();
    await saving.open();
    await saving.keepOwn(hashes[0], bytes(1));
    await files.saveUnread('From tomorrow', { version: 99, what: hashes });
    expect(written.length).toBe(1);
    expect(notices.notices.map(({ text }) => text)).toEqual([
      '“From tomorrow” was saved, but 1 of the 2 files it names are not here.',
    ]);
  });

  it('is refused in a sentence where no file can hold it', async () => {
    const { files, texts } = await rig();
    let deep: unknown = {};
    for (let i = 0; i < 20_000; i++) deep = [deep];
    await files.saveUnread('Torn', deep);
    expect(written).toEqual([]);
    expect(texts()[0]).toMatch(/too deep/);
  });
});

describe('a file that is opened', () => {
  it('and throws whatever it may becomes a sentence', async () => {
    const { files, texts } = await rig();
    const file = new File([], 'odd.json');
    vi.spyOn(file, 'arrayBuffer').mockRejectedValue(new RangeError('Maximum call stack size exceeded'));
    expect(await files.open(file)).toBeNull();
    expect(texts()).toEqual([
      'odd.json: The session could not be opened (Maximum call stack size exceeded). Open another copy of it.',
    ]);
  });
});
