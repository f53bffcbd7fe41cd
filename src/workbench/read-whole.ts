import { AudioFileError } from '../files/audio-file-error.ts';

const STEP_BYTES = 16e6;
/** What one array of bytes holds in every browser. */
const MOST_BYTES = 2 ** 31 - 1;

/**
 * All bytes of a file, a piece at a time, so that it can be told how far it is and be stopped.
 *
 * @param progress is told the share that is read, 0 to 1
 * @throws AudioFileError where it is too large; the signal's reason where it was stopped
 */
export async function readWhole(
  file: File,
  signal: AbortSignal,
  progress: (share: number) => void,
): Promise<Uint8Array<ArrayBuffer>> {
  if (file.size > MOST_BYTES) {
    throw new AudioFileError(`${file.name}: It is larger than 2 GB. Cut it to the part you want to work on.`);
  }
  const bytes = new Uint8Array(file.size);
  for (let at = 0; at < file.size; at += STEP_BYTES) {
    signal.throwIfAborted();
    bytes.set(new Uint8Array(await file.slice(at, at + STEP_BYTES).arrayBuffer()), at);
    progress(Math.min(1, (at + STEP_BYTES) / file.size));
  }
  signal.throwIfAborted();
  return bytes;
}

/** What `work` gives, unless it is stopped first: what can't be broken off is left to end unheard. */
export function unlessStopped<T>(signal: AbortSignal, work: Promise<T>): Promise<T> {
  return new Promise<T>((resolve, reject) => {
    const stop = () => reject(signal.reason);
    if (signal.aborted) stop();
    signal.addEventListener('abort', stop, { once: true });
    work.then(resolve, reject).finally(() => signal.removeEventListener('abort', stop));
  });
}
