import { SessionError } from './session-error.ts';

/** The records of blind trials may take two thirds of this. */
export const MOST_DOCUMENT_BYTES = 32e6;

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
