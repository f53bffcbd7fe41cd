import type { AudioData } from '../files/audio-data.ts';
import { AudioFileError } from '../files/audio-file-error.ts';
import { readWav } from '../files/wav.ts';
import type { WavAnswer } from './wav.worker.ts';
import WavWorker from './wav.worker.ts?worker';

/** Smaller files are read sooner than a worker starts, bytes. */
const SMALL = 4e6;

/**
 * Reads a WAV file without holding the screen up.
 * @throws AudioFileError with a sentence that says what to do
 */
export async function readWavAside(bytes: Uint8Array<ArrayBuffer>): Promise<AudioData> {
  if (bytes.length < SMALL) return readWav(bytes);
  const worker = new WavWorker();
  try {
    const answer = await new Promise<WavAnswer>((resolve, reject) => {
      worker.addEventListener('message', ({ data }: MessageEvent<WavAnswer>) => resolve(data));
      worker.addEventListener('error', () => reject(new AudioFileError('There is not enough memory to read it.')));
      worker.postMessage(bytes);
    });
    if ('fault' in answer) throw new AudioFileError(answer.fault);
    return answer.audio;
  } finally {
    // With it goes its copy of the file.
    worker.terminate();
  }
}
