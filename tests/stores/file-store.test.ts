/** What the screen relies on of the session's files: of the file desk, with real reading and decoding, and in memory. */
import { describe, expect, it } from 'vitest';
import type { FileStore } from '../../src/stores/file-store.ts';
import { Notifier } from '../../src/stores/observable.ts';
import { FileDesk } from '../../src/workbench/file-desk.ts';
import { MemoryFiles, MemoryKept } from '../browser/fixture/files.ts';
import { FilesHost, wav } from '../workbench/files-host.ts';
import { observable, told, toldWhile, unlike } from './contract.ts';

interface Rig {
  readonly files: FileStore;
  /** Files are being read, and go on until they are stopped. */
  read(): Promise<void>;
  /** A file comes in that is another version of a channel's own. */
  bringVersion(): Promise<void>;
  /** The sound of a channel is gone; its id, and the file. */
  lose(): Promise<[string, File]>;
}

class Session extends Notifier {
  readonly host = new FilesHost();
  constructor() {
    super();
    this.host.onNotify = () => this.notify();
  }
  get missing(): ReadonlySet<string> {
    return new Set(this.host.sounds.missing(this.host.document).map(({ id }) => id));
  }
}

function behindTheScreen(): Rig {
  const session = new Session();
  const { host } = session;
  const files = new FileDesk(session, host.adding, host.versions, {} as never, new MemoryKept());
  return {
    files,
    read: () => {
      void host.adding.add(Array.from({ length: 200 }, (_, i) => wav(`take ${i}.wav`, i + 2)));
      return new Promise((resolve) => {
        const leave = session.subscribe(() => {
          if (!files.reading) return;
          leave();
          resolve();
        });
      });
    },
    bringVersion: async () => {
      await host.adding.add([wav('a.wav', 3)]);
      await host.adding.add([wav('a.wav', 5)]);
    },
    lose: async () => {
      const file = wav('lost.wav', 11);
      await host.adding.add([file]);
      host.sounds.replace({ known: new Map() });
      host.notify();
      return [host.document.channels.at(-1)?.id as string, file];
    },
  };
}

function inMemory(): Rig {
  const files = new MemoryFiles();
  const audio = { file: 'a.wav', sha256: 'x', sampleRate: 48_000, channelCount: 1, frames: 480 };
  return {
    files,
    read: async () => files.set({ reading: { done: 0, total: 200, file: 'take 0.wav', step: 'reading', share: 0 } }),
    bringVersion: async () => files.set({ versions: [{ id: 1, channels: ['a'], file: audio, before: audio }] }),
    lose: async () => {
      files.set({ missing: new Set(['a']) });
      return ['a', new File([], 'lost.wav')];
    },
  };
}

const RIGS: [string, () => Rig][] = [
  ['of the session', behindTheScreen],
  ['in memory', inMemory],
];

describe.each(RIGS)('files %s', (_, make) => {
  it('are at rest where nothing was done', () => {
    const { files } = make();
    expect([files.reading, [...files.missing], files.versions]).toEqual([null, [], []]);
    expect(() => files.stopReading()).not.toThrow();
    observable(files, () => files.answerVersions(new Map()));
  });

  it('tell how far they are read, and stop', async () => {
    const { files, read } = make();
    expect(await toldWhile(files, read)).toBeGreaterThan(0);
    expect(files.reading).toMatchObject({ total: 200, file: 'take 0.wav', step: 'reading', share: 0 });
    await toldWhile(files, async () => {
      files.stopReading();
      while (files.reading) await new Promise((resolve) => setTimeout(resolve));
    });
    expect(files.reading).toBeNull();
  });

  it('of another version wait for a word, and are all answered by one', async () => {
    const { files, bringVersion } = make();
    expect(await toldWhile(files, bringVersion)).toBeGreaterThan(0);
    expect(files.versions.map(({ channels, file }) => [channels, file.file])).toEqual([[['a'], 'a.wav']]);
    expect(told(files, () => files.answerVersions(new Map([[files.versions[0].id, 'use']])))).toBeGreaterThan(0);
    expect(files.versions).toEqual([]);
  });

  it('that are missing are named, and come back where they are found', async () => {
    const { files, lose } = make();
    const [channelId, file] = await lose();
    expect([...files.missing]).toEqual([channelId]);
    expect(await toldWhile(files, () => files.findFile(channelId, file))).toBeGreaterThan(0);
    expect([...files.missing]).toEqual([]);
  });
});

it('questions in memory are made like those of the session', async () => {
  const rigs = [behindTheScreen(), inMemory()];
  for (const { bringVersion } of rigs) await bringVersion();
  expect(unlike(rigs[0].files.versions, rigs[1].files.versions)).toEqual([]);
});
