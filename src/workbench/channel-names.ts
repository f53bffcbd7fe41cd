import type { PlacedFile } from './choose-files.ts';
import { foldersOf } from './choose-files.ts';

/**
 * What the channels of these files are called, in their order: as the files without their endings. Files of one name are
 * told apart by their folders; what is alike even then, or taken already, by a number.
 *
 * @param taken names of channels that are there
 */
export function channelNames(files: readonly PlacedFile[], taken: Iterable<string>): string[] {
  const used = new Set([...taken].map(plain));
  return files.map((file) => {
    const stem = withoutEnding(file.name);
    const alike = files.filter(({ name }) => plain(withoutEnding(name)) === plain(stem));
    const folder = alike.length > 1 ? tellingFolder(file, alike) : '';
    const wanted = folder ? `${stem} (${folder})` : stem;
    let name = wanted;
    for (let number = 2; used.has(plain(name)); number++) name = `${wanted} ${number}`;
    used.add(plain(name));
    return name;
  });
}

/** The nearest folder by whose name they differ; with no such level all of the way; nothing where they lie together. */
function tellingFolder(file: PlacedFile, files: readonly PlacedFile[]): string {
  const ways = files.map(foldersOf);
  const own = foldersOf(file);
  const deepest = Math.max(...ways.map(({ length }) => length));
  for (let up = 1; up <= deepest; up++) {
    const names = ways.map((way) => way.at(-up) ?? '');
    if (new Set(names).size === files.length) return own.at(-up) ?? '';
  }
  const together = new Set(ways.map((way) => way.join('/'))).size === 1;
  return together ? '' : own.join(', ');
}

function withoutEnding(name: string): string {
  return name.replace(/\.[^.]+$/, '') || name;
}

/** Names that differ in capitals only are not told apart by ear or eye. */
function plain(name: string): string {
  return name.trim().toLowerCase();
}
