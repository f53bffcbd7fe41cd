/** The demo's files cut short: to decode all of them takes longer than what most tests do with them. */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { readFlac, writeFlac } from '../../src/files/flac.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const folder = join(root, 'samples/audio');

/** Names of the demo's files. */
export function demoFiles(): string[] {
  return readdirSync(folder).filter((file) => file.endsWith('.flac'));
}

export function wholeDemoFile(file: string): Uint8Array<ArrayBuffer> {
  return new Uint8Array(readFileSync(join(folder, file)));
}

/** The first seconds of one as a FLAC of the same samples. Made once and kept in .cache by what it was made of. */
export async function demoStart(file: string, seconds: number): Promise<Uint8Array<ArrayBuffer>> {
  const cache = join(root, '.cache', 'demo-start');
  mkdirSync(cache, { recursive: true });
  const whole = wholeDemoFile(file);
  const kept = join(cache, `${createHash('sha256').update(whole).digest('hex')}-${seconds}.flac`);
  if (!existsSync(kept)) {
    const { channels, sampleRate } = await readFlac(whole);
    const start = channels.map((plane) => plane.slice(0, seconds * sampleRate));
    // Under a name of its own first, since several test files may make it at once.
    const made = `${kept}.${process.pid}`;
    writeFileSync(made, await writeFlac({ channels: start, sampleRate }, { bits: 24 }));
    renameSync(made, kept);
  }
  return new Uint8Array(readFileSync(kept));
}
