/** Sessions that are opened: nothing of the user's goes by itself. */
import { readFileSync } from 'node:fs';
import { afterEach, describe, expect, it, vi } from 'vitest';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession, newChannel, parseSession } from '../../src/session/document.ts';
import { Notices } from '../../src/workbench/notices.ts';
import type { OpenedSession } from '../../src/workbench/opening.ts';
import { isUntouched, Opening } from '../../src/workbench/opening.ts';
import type { Saving } from '../../src/workbench/saving.ts';
import type { SessionFiles } from '../../src/workbench/session-files.ts';
import { Sounds } from '../../src/workbench/sounds.ts';
import { wav } from './files-host.ts';

const DEMO = parseSession(JSON.parse(readFileSync('samples/harbour-hall.json', 'utf8')));

/** Opens into a session in memory; `stored` is what the browser has. */
function rig(stored: SessionDocument | null, audio = new Map<string, Uint8Array<ArrayBuffer>>()) {
  const notices = new Notices();
  const sounds = new Sounds(async (planes) => planes);
  const calls: string[] = [];
  const host = {
    document: emptySession(48000),
    player: { setLoading: () => void calls.push('loading') },
    replace({ document, known }: OpenedSession) {
      calls.push(`replace ${document.name}`);
      host.document = document;
      sounds.replace({ known });
    },
    reload: () => void calls.push('reload'),
  };
  const saving = {
    open: async () => stored,
    save: () => void calls.push('save'),
    keepAudio: async () => undefined,
    loadAudio: async (sha256: string) => audio.get(sha256) ?? null,
  };
  const files = { open: async (file: File) => ({ document: emptySession(48000, file.name), known: new Map() }) };
  const opening = new Opening(host, sounds, saving as unknown as Saving, files as unknown as SessionFiles, notices);
  return { opening, host, sounds, calls, texts: () => notices.notices.map(({ text }) => text) };
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
    expect(calls).toEqual(['loading', 'replace Mine']);
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
    expect(calls).toEqual(['loading', 'replace Stored', 'replace opened', 'save']);
    opening.fresh();
    expect(host.document.name).toBe(emptySession(48000).name);
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
