import type { SessionDocument } from '../session/document.ts';
import { emptySession } from '../session/document.ts';
import { demoAudio, demoSession } from './demo.ts';
import type { Notices } from './notices.ts';
import type { Saving } from './saving.ts';
import { sentence } from './sentence.ts';
import type { Planes, Sounds } from './sounds.ts';

/** A session that is ready to be worked on: its document, and its sound by SHA-256. */
export interface OpenedSession {
  readonly document: SessionDocument;
  readonly known: ReadonlyMap<string, Planes>;
}

/** The session that was worked on last; null where there is none or none that can be read, which is said. */
export async function openLast(sounds: Sounds, saving: Saving, notices: Notices): Promise<OpenedSession | null> {
  try {
    const document = await saving.open();
    if (!document) return null;
    const { known, faults } = await sounds.gather(document, ({ sha256 }) => saving.loadAudio(sha256));
    for (const fault of faults) notices.say('fault', fault);
    return { document, known };
  } catch (fault) {
    notices.say('warning', sentence(fault));
    return null;
  }
}

/** @throws Error with a sentence where the demo can't be loaded */
export async function openDemo(sounds: Sounds, saving: Saving): Promise<OpenedSession> {
  const document = demoSession();
  // All are asked for at once, and decoded one after the other.
  const bytes = new Map(document.channels.map(({ audio }) => [audio?.sha256, demoAudio(audio?.file ?? '')]));
  // One that fails before its turn comes is told of in its turn.
  for (const own of bytes.values()) own.catch(() => undefined);
  const { known, faults } = await sounds.gather(document, async ({ sha256 }) => (await bytes.get(sha256)) ?? null);
  if (faults[0] !== undefined) throw new Error(faults[0]);
  for (const [sha256, own] of bytes) if (sha256) await saving.keepAudio(sha256, await own);
  return { document, known };
}

/** True for a session that nobody has made anything of: empty, or the demo but for gains that are computed. */
export function isUntouched(document: SessionDocument): boolean {
  const empty = emptySession(document.sampleRate);
  return [empty, demoSession()].some((one) => plain(one) === plain(document));
}

function plain(document: SessionDocument): string {
  const computed = new Set(['matchGainDb', 'outputMatchDb']);
  return JSON.stringify(document, (key, value) => (computed.has(key) ? null : value));
}

/** What to do about files that are not here; null where all are. */
export function missingWords(what: string, files: Iterable<string | undefined>): string | null {
  const names = [...new Set(files)].filter((name) => name !== undefined);
  if (names.length === 0) return null;
  return `${what} ${names.join(', ')}. The racks are kept. Add the files again, or choose “Find file…” at a channel.`;
}
