import type { SessionDocument } from '../session/document.ts';
import { parseSession, SessionError } from '../session/document.ts';
import { CliError } from './cli-error.ts';
import { readBytes } from './read-sound.ts';

/**
 * The document of a saved session, without its sounds.
 * @param otherwise what else could be named, for the message
 * @throws CliError that names the file and says what to do
 */
export function readSession(path: string, otherwise = ''): SessionDocument {
  const text = new TextDecoder().decode(readBytes(path));
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    throw new CliError(`${path}: It is not JSON; name a session that Level Best has saved${otherwise}.`);
  }
  try {
    return parseSession(json);
  } catch (error) {
    if (error instanceof SessionError) throw new CliError(`${path}: ${error.message}`);
    throw error;
  }
}
