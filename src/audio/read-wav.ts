import type { AudioData } from '../files/audio-data.ts';
import { AudioFileError } from '../files/audio-file-error.ts';
import { readWav } from '../files/wav.ts';
import { WorkerChannel, WorkerFault } from '../workers/channel.ts';
import type { WavProtocol } from './wav.worker.ts';
import WavWorker from './wav.worker.ts?worker';

/** Smaller files are read sooner than a worker starts, bytes. */
const SMALL = 4e6;

/**
 * Reads a WAV file without holding the screen up.
 * @throws AudioFileError with a sentence that says what to do
 */
export async function readWavAside(bytes: Uint8Array<ArrayBuffer>): Promise<AudioData> {
  if (bytes.length < SMALL) return readWav(bytes);
  const channel = new WorkerChannel<WavProtocol>(() => new WavWorker(), {
    stopped:
      'Reading it was started twice and stopped, most likely for want of memory. Close other tabs, or cut it to the part you want to work on, and add it again.',
    // A worker that reads knows nothing beforehand.
    restore: () => undefined,
  });
  try {
    return await channel.ask('read', bytes);
  } catch (fault) {
    throw fault instanceof WorkerFault ? new AudioFileError(fault.message) : fault;
  } finally {
    // With it goes its copy of the file.
    channel.end();
  }
}
