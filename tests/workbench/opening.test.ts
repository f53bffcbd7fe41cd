/** Sessions that are opened: nothing of the user's goes by itself. */
import { readFileSync } from 'node:fs';
import { afterEach, describe, expect, it, vi } from 'vitest';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession, newChannel, parseSession, VERSION } from '../../src/session/document.ts';
import { Notices } from '../../src/workbench/notices.ts';
import type { OpenedSession } from '../../src/workbench/opening.ts';
import { isUntouched, Opening } from '../../src/workbench/opening.ts';
import type { Saving } from '../../src/workbench/saving.ts';
import type { SessionFiles } from '../../src/workbench/session-files.ts';
import { Sounds } from '../../src/workbench/sounds.ts';
import { wav } from './files-host.ts';

const DEMO = parseSession(JSON.parse(readFileSync('samples/harbour-hall.json', 'utf8')));

const NO_STEPS = { past: [], future: [] };
const entryOf = (id: string, changed: number, more = {}) => ({ id, name: id, changed, version: VERSION, ...more });
type Entry = ReturnType<typeof entryOf>;

/** Opens into a session in memory; `stored` is what the browser has, `elsewhere` what other tabs have of it. */
function rig(
  stored: SessionDocument | null,
  audio = new Map<string, Uint8Array<ArrayBuffer>>(),
  { elsewhere = [] as string[], entries = [] as Entry[] } = {},
) {
  const notices = new Notices();
  const sounds = new Sounds(async (planes) => planes);
  const calls: string[] = [];
  const host = {
    document: emptySession(48000),
    player: { setLoading: () => void calls.push('loading') },
    refuses: false,
    replace({ document, known }: OpenedSession) {
      if (host.refuses) throw new RangeError('Maximum call stack size exceeded');
      calls.push(`replace ${document.name}`);
      host.document = document;
      sounds.replace({ known });
    },
    reload: () => void calls.push('reload'),
  };
  const list = stored && entries.length === 0 ? [entryOf('stored', 1)] : entries;
  const saving = {
    store: { list: async () => list },
    open: async () => undefined,
    begin: (start: string) => void calls.push(`begin ${start}`),
    take: async (id: string) => {
      if (elsewhere.includes(id)) return null;
      const document = stored ?? emptySession(48000, id);
      return { id, document, steps: NO_STEPS, lock: { release: () => void calls.push('release') } };
    },
    use: ({ id }: { id: string }) => void calls.push(`use ${id}`),
    flush: async () => undefined,
    save: () => void calls.push('save'),
    keepAudio: async () => undefined,
    loadAudio: async (sha256: string) => audio.get(sha256) ?? null,
  };
  const files = { open: async (file: File) => ({ document: emptySession(48000, file.name), known: new Map() }) };
  const opening = new Opening(
    host,
    sounds,
    saving as unknown as Saving,
    files as unknown as SessionFiles,
    notices,
    ({ id }) => void calls.push(`taken ${id}`),
  );
  return { opening, host, sounds, calls, texts: () => notices.notices.map(({ text }) => text) };
}

/** What the tab had before its reload. */
function tabHad(id: string, start: 'empty' | 'demo' = 'empty'): void {
  vi.stubGlobal('sessionStorage', { getItem: () => JSON.stringify({ id, start }), setItem: () => undefined });
}

afterEach(() => vi.unstubAllGlobals());

describe('opening a session', () => {
  it('keeps what is here when the demo can not be had', async () => {
    vi.stubGlobal('fetch', async () => new Response(null, { status: 503 }));
    const { opening, host, calls, texts } = rig(null);
    host.document = emptySession(48000, 'Mine');
    await opening.demo();
    expect(host.document.name).toBe('Mine');
    expect(calls).toEqual(['loading', 'reload']);
    expect(texts()[0]).toMatch(/could not be loaded\. Reload the page\.$/);
  });

  it('names what the store no longer has, also where its bytes are not what they were', async () => {
    const bytes = new Uint8Array(await wav('a.wav', 3).arrayBuffer());
    const channel = (id: string, sha256: string) =>
      newChannel(id, id, {
        audio: { file: `${id}.wav`, sha256, sampleRate: 48000, channelCount: 1, frames: 480 },
      });
    const stored = {
      ...emptySession(48000, 'Mine'),
      channels: [channel('a', 'a'.repeat(64)), channel('b', 'b'.repeat(64))],
    };
    const { opening, host, sounds, calls, texts } = rig(stored, new Map([['a'.repeat(64), bytes]]));
    await opening.last();
    expect(calls).toEqual(['loading', 'replace Mine', 'use stored']);
    expect(sounds.missing(host.document).map(({ id }) => id)).toEqual(['a', 'b']);
    expect(texts()).toEqual([
      'The browser no longer has a.wav, b.wav. The racks are kept. Add the files again, or choose “Find file…” at a channel.',
    ]);
  });

  it('takes one after the other, and no empty one before the first is seen', async () => {
    const { opening, host, calls } = rig({ ...emptySession(48000, 'Stored') });
    const last = opening.last();
    const file = opening.file(new File([], 'opened'));
    opening.fresh();
    await Promise.all([last, file]);
    expect(calls).toEqual(['loading', 'replace Stored', 'use stored', 'replace opened', 'begin empty', 'save']);
    opening.fresh();
    expect(host.document.name).toBe(emptySession(48000).name);
  });
});

describe('a tab', () => {
  const entries = [entryOf('newest', 30), entryOf('torn', 40, { damaged: true }), entryOf('own', 10)].sort(
    (a, b) => b.changed - a.changed,
  );

  it('that is new shows what was changed last and can be read', async () => {
    const { opening, calls } = rig(null, undefined, { entries });
    await opening.last();
    expect(calls).toEqual(['loading', 'replace newest', 'use newest']);
  });

  it('that was reloaded shows its own, however old', async () => {
    tabHad('own');
    const { opening, calls } = rig(null, undefined, { entries });
    await opening.last();
    expect(calls).toEqual(['loading', 'replace own', 'use own']);
  });

  it('that was reloaded before anything was made shows an empty session again', async () => {
    tabHad('never stored');
    const { opening, calls } = rig(null, undefined, { entries });
    await opening.last();
    expect(calls).toEqual(['loading', 'replace New session', 'begin empty']);
  });

  it('leaves a session that another tab has to it, and says so', async () => {
    const { opening, calls } = rig(null, undefined, { entries, elsewhere: ['newest'] });
    await opening.last();
    expect(calls).toEqual(['loading', 'replace New session', 'begin empty', 'taken newest']);
  });
});

describe('a session that can not be shown', () => {
  it('is never the current one, and is told in a sentence', async () => {
    const { opening, host, calls, texts } = rig(null, undefined, { entries: [entryOf('odd', 1)] });
    host.document = emptySession(48000, 'Mine');
    host.refuses = true;
    await opening.file(new File([], 'odd.json'));
    await expect(opening.kept('odd')).rejects.toThrow(/^The session could not be opened \(Maximum/);
    expect(host.document.name).toBe('Mine');
    expect(calls).toEqual(['release']);
    expect(texts()).toEqual([
      'odd.json: The session could not be opened (Maximum call stack size exceeded). What was here stays.',
    ]);
    host.refuses = false;
    await opening.file(new File([], 'sound.json'));
    expect(host.document.name).toBe('sound.json');
  });
});

describe('a session that nobody has made anything of', () => {
  it('is an empty one, or the demo whatever its gains are computed to', () => {
    expect(isUntouched(emptySession(44100))).toBe(true);
    const demo = structuredClone(DEMO);
    demo.channels[0].rack.matchGainDb = 0.123;
    demo.mix.outputMatchDb = null;
    expect(isUntouched(demo)).toBe(true);
    demo.channels[0].rack.matchTrimDb = 0.05;
    expect(isUntouched(demo)).toBe(false);
    expect(isUntouched({ ...emptySession(48000), notes: 'Second set' })).toBe(false);
  });
});
