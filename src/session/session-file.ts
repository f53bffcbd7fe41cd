import { makeZip } from 'client-zip';
import type { SessionDocument } from './document.ts';
import { parseSession } from './document.ts';
import { SessionError } from './session-error.ts';
import type { ZipEntry } from './unzip.ts';
import { zipEntries } from './unzip.ts';

/** Sound files as they came, under the SHA-256 of their bytes in hex. */
export type StoredAudio = ReadonlyMap<string, Uint8Array<ArrayBuffer>>;
/** Gives one sound file at a time, so that not all are in memory; null for one that isn't there. */
export type AudioSource = (sha256: string) => Promise<Uint8Array<ArrayBuffer> | null>;

export interface SessionFileContents {
  readonly document: SessionDocument;
  /** The sound files that came with it; only those whose bytes are what the document names. */
  readonly audio: StoredAudio;
  /** Names of files that the document has but the session file doesn't, or not unchanged. */
  readonly missing: readonly string[];
}

const DOCUMENT_ENTRY = 'session.json';
const AUDIO_FOLDER = 'audio/';

/** The document alone, as JSON that a person can read. */
export function sessionJson(document: SessionDocument): string {
  return `${JSON.stringify(document, null, 2)}\n`;
}

/** The sound files that a document names: the name of each by its SHA-256. */
export function namedFiles({ channels }: SessionDocument): Map<string, string> {
  return new Map(channels.flatMap(({ audio }) => (audio ? [[audio.sha256, audio.file]] : [])));
}

/**
 * The session with its sound files as a ZIP, in a stream, so that it needn't be in memory at once. Each file is stored
 * as it came, under the hash the document knows it by. The stream fails with a SessionError where one is not to be had,
 * so that no file stands there that looks whole and isn't.
 */
export function sessionZip(document: SessionDocument, audio: StoredAudio | AudioSource): ReadableStream<Uint8Array> {
  const load: AudioSource = typeof audio === 'function' ? audio : async (sha256) => audio.get(sha256) ?? null;
  async function* files() {
    yield { name: DOCUMENT_ENTRY, input: sessionJson(document) };
    for (const [sha256, file] of namedFiles(document)) {
      const input = await load(sha256);
      if (!input) throw new SessionError(lackingSound([file]));
      yield { name: `${AUDIO_FOLDER}${sha256}${ending(file)}`, input };
    }
  }
  return makeZip(files());
}

/** Why a session is not written with its sound, and what to do. @param files the names of those that lack, not empty */
export function lackingSound(files: readonly string[]): string {
  const [sound, it] = files.length === 1 ? ['the sound of', 'it'] : ['the sounds of', 'them'];
  return `${sound} ${files.join(', ')} ${files.length === 1 ? 'is' : 'are'} not here, so the file would not be whole. Bring ${it} back with “Find file…” at the channel, or save the session without audio.`;
}

/**
 * A document that this tool can't read, with the sound it names, as a ZIP that one which can will open.
 * What lacks is left out: nobody here knows which of the hashes are of sound files.
 * @param hashes of the sound files, SHA-256 in hex
 */
export function unreadZip(document: unknown, hashes: readonly string[], load: AudioSource): ReadableStream<Uint8Array> {
  async function* files() {
    yield { name: DOCUMENT_ENTRY, input: `${JSON.stringify(document, null, 2)}\n` };
    for (const sha256 of new Set(hashes)) {
      const input = await load(sha256);
      if (input) yield { name: `${AUDIO_FOLDER}${sha256}`, input };
    }
  }
  return makeZip(files());
}

/**
 * Opens a session file: JSON, or a ZIP that `sessionZip` made, also when it was unpacked and packed again since.
 * @param hash SHA-256 in lower-case hex, from the host
 * @throws SessionError with a sentence that says what is wrong and what to do
 */
export async function openSessionFile(
  bytes: Uint8Array<ArrayBuffer>,
  hash: (bytes: Uint8Array<ArrayBuffer>) => Promise<string>,
): Promise<SessionFileContents> {
  if (bytes.length === 0) throw new SessionError('The session file is empty. Open another copy.');
  const isZip = bytes[0] === 0x50 && bytes[1] === 0x4b;
  const entries = isZip ? zipEntries(bytes) : [];
  const [folder, json] = isZip ? documentIn(entries) : ['', bytes];
  const document = parseSession(readDocumentJson(json));
  const wanted = namedFiles(document);
  const audio = new Map<string, Uint8Array<ArrayBuffer>>();
  for (const entry of entries) {
    if (!entry.name.startsWith(`${folder}${AUDIO_FOLDER}`)) continue;
    const content = readOrNull(entry);
    // The name only says what it should be; what the bytes are decides.
    const sha256 = content && (await hash(content));
    if (content && sha256 && wanted.has(sha256)) audio.set(sha256, content);
  }
  const missing = [...wanted].flatMap(([sha256, file]) => (audio.has(sha256) ? [] : [file]));
  return { document, audio, missing: [...new Set(missing)] };
}

/** The folder the session lies in, and its document. Whoever packs a folder again packs it with its name. */
function documentIn(entries: readonly ZipEntry[]): [string, Uint8Array] {
  const found = entries
    .filter(({ name }) => name === DOCUMENT_ENTRY || name.endsWith(`/${DOCUMENT_ENTRY}`))
    .sort((a, b) => a.name.length - b.name.length)[0];
  if (!found) {
    throw new SessionError(
      'This ZIP is no Level Best session: it has no session.json. Open one that this tool has saved.',
    );
  }
  const json = found.size > MOST_DOCUMENT_BYTES ? null : readOrNull(found);
  if (!json) throw new SessionError('The session.json in this ZIP is damaged. Open another copy of the session.');
  return [found.name.slice(0, -DOCUMENT_ENTRY.length), json];
}

/** A sound file that is damaged is missing; the rest of the session is not lost with it. */
function readOrNull(entry: ZipEntry): Uint8Array<ArrayBuffer> | null {
  try {
    return entry.read();
  } catch {
    return null;
  }
}

function ending(file: string): string {
  return /\.[A-Za-z0-9]{1,5}$/.exec(file)?.[0].toLowerCase() ?? '';
}

/** The records of blind trials may take two thirds of this. */
const MOST_DOCUMENT_BYTES = 32e6;

/**
 * The document of a session as parsed JSON, for `parseSession`.
 * @throws SessionError with a sentence that says what is wrong and what to do
 */
export function readDocumentJson(bytes: Uint8Array): unknown {
  if (bytes.length > MOST_DOCUMENT_BYTES) {
    throw new SessionError('The session document is too large to be one of this tool. Open another copy.');
  }
  try {
    return JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch {
    throw new SessionError(
      'This is neither a session as JSON nor a ZIP with one. Open a file that this tool has saved.',
      'foreign',
    );
  }
}
