import { fileName } from './file-name.ts';

/** Characters that some file system refuses, and control characters. */
const REFUSED = /[<>:"/\\|?*\p{Cc}]+/gu;
const LONGEST_BYTES = 200;

/**
 * The name that a source's file had, without its folder and its ending, so that a print of it takes its place in the
 * host. Only what a file system would refuse is changed.
 */
export function sourceName(file: string): string {
  const base = file.slice(Math.max(file.lastIndexOf('/'), file.lastIndexOf('\\')) + 1);
  const plain = base
    .replace(/\.[^.\s]{1,5}$/, '')
    .replace(REFUSED, ' ')
    .replace(/[. ]+$/, '')
    .trim();
  const isPlain = plain !== '' && new TextEncoder().encode(plain).length <= LONGEST_BYTES;
  // Words that systems keep for devices, and names that are too long.
  return isPlain && !/^(con|prn|aux|nul|com\d|lpt\d)(\.|$)/i.test(plain) ? plain : fileName(plain);
}

/** The same names, told apart by a number in their order where two are the same to a file system. */
export function toldApart(names: readonly string[]): string[] {
  const key = (name: string) => name.normalize('NFC').toLowerCase();
  const given = new Set(names.map(key));
  const used = new Set<string>();
  return names.map((name) => {
    let free = name;
    for (let number = 2; used.has(key(free)); number++) {
      free = `${name} ${number}`;
      // A number that another name has of its own is left to it.
      if (given.has(key(free)) && !used.has(key(free))) free = name;
    }
    used.add(key(free));
    return free;
  });
}
