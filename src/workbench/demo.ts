import session from '../../samples/harbour-hall.json';
import type { SessionDocument } from '../session/document.ts';
import { parseSession } from '../session/document.ts';

const urls = import.meta.glob<string>('../../samples/audio/*.flac', { query: '?url', import: 'default', eager: true });

/** The Harbour Hall sextet as it comes. */
export function demoSession(): SessionDocument {
  return parseSession(session);
}

/** The demo and its files, all of which are asked for at once; one that can't be had rejects in its turn. */
export function demo(): { document: SessionDocument; bytes: Map<string, Promise<Uint8Array<ArrayBuffer>>> } {
  const document = demoSession();
  const files = document.channels.flatMap(({ audio }) => (audio ? [audio] : []));
  const bytes = new Map(files.map(({ sha256, file }) => [sha256, demoAudio(file)]));
  for (const own of bytes.values()) own.catch(() => undefined);
  return { document, bytes };
}

/** The bytes of one of its files. @throws Error when the page's own server does not give it */
async function demoAudio(file: string): Promise<Uint8Array<ArrayBuffer>> {
  const url = urls[`../../samples/audio/${file}`];
  if (!url) throw new Error(`The demo has no file ${file}.`);
  const response = await fetch(url);
  if (!response.ok) throw new Error(`The demo's ${file} could not be loaded. Reload the page.`);
  return new Uint8Array(await response.arrayBuffer());
}
