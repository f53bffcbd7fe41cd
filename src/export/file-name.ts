/** Words that some systems keep for devices; a file of such a name can't be opened there. */
const RESERVED = /^(con|prn|aux|nul|com\d|lpt\d)$/i;
const LONGEST = 80;

/** A name that every file system takes, from any text: letters and digits of all scripts stay, the rest becomes spaces. */
export function fileName(text: string): string {
  const plain = text
    .normalize('NFC')
    .replace(/[^\p{L}\p{M}\p{N} ._()+-]+/gu, ' ')
    .replace(/\s+/g, ' ')
    .trim()
    .replace(/^\.+/, '');
  const short = [...plain]
    .slice(0, LONGEST)
    .join('')
    .replace(/[. ]+$/, '');
  if (short === '' || RESERVED.test(short)) return `file ${short}`.trim();
  return short;
}
