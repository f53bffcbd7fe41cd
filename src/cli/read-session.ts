import { createHash } from 'node:crypto';
import type { SessionDocument } from '../session/document.ts';
import { parseSession, SessionError } from '../session/document.ts';
import type { StoredAudio } from '../session/session-file.ts';
import { openSessionFile, readDocumentJson } from '../session/session-file.ts';
import { CliError } from './cli-error.ts';
import { readBytes } from './read-sound.ts';

export interface SavedSession {
  readonly document: SessionDocument;
  /** Sound files that came in its ZIP, by the SHA-256 of their bytes. */
  readonly audio: StoredAudio;
}

/**
 * A saved session, JSON or ZIP.
 * @param otherwise what else could be named, for the message
 * @throws CliError that names the file and says what to do
 */
export async function openSession(path: string, otherwise = ''): Promise<SavedSession> {
  const bytes = readBytes(path);
  if (!isZip(bytes)) return { document: documentOf(path, bytes, otherwise), audio: new Map() };
  try {
    return await openSessionFile(bytes, async (content) => createHash('sha256').update(content).digest('hex'));
  } catch (error) {
    throw refusal(path, error);
  }
}

/**
 * The document of a session saved as JSON.
 * @param otherwise what else could be named, for the message
 * @throws CliError that names the file and says what to do
 */
export function readSession(path: string, otherwise = ''): SessionDocument {
  return documentOf(path, readBytes(path), otherwise);
}

/** True for what is to be read as a session: a ZIP, or a text that begins as JSON does. */
export function looksLikeSession(bytes: Uint8Array): boolean {
  return isZip(bytes) || bytes[0] === '{'.charCodeAt(0);
}

function isZip(bytes: Uint8Array): boolean {
  return bytes[0] === 0x50 && bytes[1] === 0x4b;
}

function documentOf(path: string, bytes: Uint8Array<ArrayBuffer>, otherwise: string): SessionDocument {
  let json: unknown;
  try {
    json = readDocumentJson(bytes);
  } catch (error) {
    if (!(error instanceof SessionError) || error.reason !== 'foreign') throw refusal(path, error);
    throw new CliError(`${path}: It is not JSON; name a session that Level Best has saved${otherwise}.`);
  }
  try {
    return parseSession(json);
  } catch (error) {
    throw refusal(path, error);
  }
}

/** Whatever stops the reading of a session is the file's fault, and said as one. */
function refusal(path: string, error: unknown): CliError {
  if (error instanceof SessionError) return new CliError(`${path}: ${error.message}`);
  const reason = error instanceof Error ? error.message : String(error);
  return new CliError(`${path}: The session could not be read (${reason}). Name another copy of it.`);
}
