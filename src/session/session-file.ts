import { makeZip } from 'client-zip';
import { Unzip, UnzipInflate } from 'fflate';
import type { SessionDocument } from './document.ts';
import { parseSession } from './document.ts';
import { SessionError } from './session-error.ts';

/** A sound file as it came, under the SHA-256 of its bytes in hex. */
export type StoredAudio = ReadonlyMap<string, Uint8Array<ArrayBuffer>>;

export interface OpenedSession {
  readonly document: SessionDocument;
  /** The sound files that came with it; only those whose bytes are what the document names. */
  readonly audio: StoredAudio;
  /** Names of files that the document has but the session file doesn't, or not unchanged. */
  readonly missing: readonly string[];
}

const DOCUMENT_ENTRY = 'session.json';
const AUDIO_FOLDER = 'audio/';
/** Unpacked, a session may be as large as 32 channels of an hour in stereo at 24 bit and 48 kHz, and no larger. */
const MOST_BYTES = 32 * 1.1e9;
const MOST_ENTRIES = 200;
const MOST_DOCUMENT_BYTES = 32e6;

/** The document alone, as JSON that a person can read. */
export function sessionJson(document: SessionDocument): string {
  return `${JSON.stringify(document, null, 2)}\n`;
}

/**
 * The session with its sound files as a ZIP, in a stream, so that it needn't be in memory at once. Each file is stored
 * as it came, under the hash the document knows it by.
 */
export function sessionZip(document: SessionDocument, audio: StoredAudio): ReadableStream<Uint8Array> {
  const names = new Map(document.channels.flatMap(({ audio: own }) => (own ? [[own.sha256, own.file]] : [])));
  const files = [...names].flatMap(([sha256, file]) => {
    const input = audio.get(sha256);
    return input ? [{ name: `${AUDIO_FOLDER}${sha256}${ending(file)}`, input }] : [];
  });
  return makeZip([{ name: DOCUMENT_ENTRY, input: sessionJson(document) }, ...files]);
}

/**
 * Opens a session file: JSON, or a ZIP that `sessionZip` made.
 * @param hash SHA-256 in lower-case hex, from the host
 * @throws SessionError with a sentence that says what is wrong and what to do
 */
export async function openSessionFile(
  bytes: Uint8Array<ArrayBuffer>,
  hash: (bytes: Uint8Array<ArrayBuffer>) => Promise<string>,
): Promise<OpenedSession> {
  if (bytes.length === 0) throw new SessionError('The session file is empty. Open another copy.');
  const isZip = bytes[0] === 0x50 && bytes[1] === 0x4b;
  const entries = isZip ? unpack(bytes) : new Map([[DOCUMENT_ENTRY, bytes]]);
  const text = entries.get(DOCUMENT_ENTRY);
  if (!text) {
    throw new SessionError(
      'This ZIP is no Level Best session: it has no session.json. Open one that this tool has saved.',
    );
  }
  const document = parseSession(parseJson(text));
  const audio = new Map<string, Uint8Array<ArrayBuffer>>();
  for (const [name, content] of entries) {
    if (!name.startsWith(AUDIO_FOLDER)) continue;
    const sha256 = await hash(content);
    // The name only says what it should be; what the bytes are decides.
    audio.set(sha256, content);
  }
  const missing = document.channels.flatMap(({ audio: own }) => (own && !audio.has(own.sha256) ? [own.file] : []));
  return { document, audio, missing: [...new Set(missing)] };
}

function ending(file: string): string {
  return /\.[A-Za-z0-9]{1,5}$/.exec(file)?.[0].toLowerCase() ?? '';
}

function parseJson(bytes: Uint8Array): unknown {
  if (bytes.length > MOST_DOCUMENT_BYTES) {
    throw new SessionError('The session document is too large to be one of this tool. Open another copy.');
  }
  try {
    return JSON.parse(decodeUtf8(bytes));
  } catch {
    throw new SessionError(
      'This is neither a session as JSON nor a ZIP with one. Open a file that this tool has saved.',
    );
  }
}

function decodeUtf8(bytes: Uint8Array): string {
  const { TextDecoder } = globalThis as unknown as {
    TextDecoder: new (label: string, options: { fatal: boolean }) => { decode(bytes: Uint8Array): string };
  };
  return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
}

/** Unpacks piece by piece, so that a ZIP that swells is given up at the limit and not when memory is gone. */
function unpack(bytes: Uint8Array): Map<string, Uint8Array<ArrayBuffer>> {
  const damaged = new SessionError('The ZIP is damaged. Open another copy of the session.');
  const entries = new Map<string, Uint8Array<ArrayBuffer>>();
  let total = 0;
  let open = 0;
  const unzip = new Unzip((file) => {
    if (entries.size >= MOST_ENTRIES) throw damaged;
    const parts: Uint8Array[] = [];
    open++;
    file.ondata = (error, part, final) => {
      if (error) throw damaged;
      total += part.length;
      if (total > MOST_BYTES)
        throw new SessionError('The ZIP unpacks to more than a session can hold. It is not opened.');
      parts.push(part);
      if (!final) return;
      open--;
      entries.set(file.name, joined(parts));
    };
    file.start();
  });
  unzip.register(UnzipInflate);
  try {
    const piece = 1 << 20;
    for (let at = 0; at < bytes.length; at += piece) {
      unzip.push(bytes.subarray(at, Math.min(bytes.length, at + piece)), at + piece >= bytes.length);
    }
  } catch (fault) {
    throw fault instanceof SessionError ? fault : damaged;
  }
  if (open > 0) throw damaged;
  return entries;
}

function joined(parts: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}
