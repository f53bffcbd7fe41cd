import { LIMITS } from './limits.ts';

/** A name as it is stored: without line breaks and outer blanks, and no longer than a name may be. */
export function cleanName(text: string): string {
  return cut(text.replace(/\s+/gu, ' ').trim(), LIMITS.name).trimEnd();
}

/** A new name; the old one where nothing is left of the new. */
export function renamed(before: string, text: string): string {
  return cleanName(text) || before;
}

/** A note keeps its line breaks; blank ends go. */
export function cleanNotes(text: string): string {
  return cut(text.replace(/\r\n?/gu, '\n'), LIMITS.notes);
}

/** Never between the two halves of one character. */
function cut(text: string, length: number): string {
  const short = text.slice(0, length);
  return /[\uD800-\uDBFF]$/.test(short) && text.length > length ? short.slice(0, -1) : short;
}

/** The first of `base~2`, `base~3`, … that isn't taken; it is added to `taken`. */
export function freshId(base: string, taken: Set<string>): string {
  const stem = base.replace(/~\d+$/, '').slice(0, 48);
  let count = 2;
  while (taken.has(`${stem}~${count}`)) count++;
  const id = `${stem}~${count}`;
  taken.add(id);
  return id;
}
