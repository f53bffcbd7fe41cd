/** The demo session's sounds, at most their first ten seconds. */
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { readFlac } from '../../src/files/flac.ts';
import type { RealRecording } from './real-recordings.ts';

const folder = fileURLToPath(new URL('../../samples/audio/', import.meta.url));
const SECONDS = 10;

export function demoRecordings(): Promise<RealRecording[]> {
  const files = readdirSync(folder).filter((file) => file.endsWith('.flac'));
  return Promise.all(
    files.map(async (file) => {
      const { channels, sampleRate } = await readFlac(new Uint8Array(readFileSync(`${folder}${file}`)));
      return {
        name: file.replace('.flac', ''),
        planes: channels.map((plane) => plane.slice(0, SECONDS * sampleRate)),
        sampleRate,
      };
    }),
  );
}
