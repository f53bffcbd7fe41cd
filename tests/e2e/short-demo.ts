/** The built page with the demo's files cut short, since it measures the demo at every start. */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { demoFiles, demoStart, wholeDemoFile } from '../support/demo-start.ts';

/** 24 s at 48 kHz, as the bundler writes it or as it stands in the document. */
const WHOLE_LENGTH = /frames:1152(e3|000)\b/g;

const sha256Of = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');

/** What is served in place of a file of the build; null where it is served as it is. */
export type Replaced = (path: string) => { readonly type: string; readonly body: Uint8Array | string } | null;

/** @param build folder of the built page */
export async function shortDemo(build: string, seconds: number): Promise<Replaced> {
  const files = new Map<string, Uint8Array>();
  const hashes = new Map<string, string>();
  for (const file of demoFiles()) {
    const short = await demoStart(file, seconds);
    files.set(basename(file, '.flac'), short);
    hashes.set(sha256Of(wholeDemoFile(file)), sha256Of(short));
  }
  return (path) => {
    const [, part, ending] = /\/assets\/([a-z-]+)-[\w-]{8}\.(flac|js)$/.exec(path) ?? [];
    const sound = files.get(part);
    if (ending === 'flac' && sound) return { type: 'audio/flac', body: sound };
    if (ending !== 'js' || part !== 'index') return null;
    // The demo's document stands in the page's script, with the hashes and lengths of its files.
    let script = readFileSync(join(build, path), 'utf8');
    for (const [whole, short] of hashes) {
      if (!script.includes(whole)) throw new Error('The build is of another demo: run `npm run build`.');
      script = script.replaceAll(whole, short);
    }
    return { type: 'text/javascript', body: script.replaceAll(WHOLE_LENGTH, `frames:${seconds * 48_000}`) };
  };
}
