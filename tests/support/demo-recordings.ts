/** The demo session's sounds, at most their first ten seconds. */
import { readFlac } from '../../src/files/flac.ts';
import { demoFiles, demoStart } from './demo-start.ts';
import type { RealRecording } from './real-recordings.ts';

const SECONDS = 10;

export function demoRecordings(): Promise<RealRecording[]> {
  return Promise.all(
    demoFiles().map(async (file) => {
      const { channels, sampleRate } = await readFlac(await demoStart(file, SECONDS));
      return { name: file.replace('.flac', ''), planes: channels, sampleRate };
    }),
  );
}
