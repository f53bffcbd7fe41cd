/** The last whole lines of a coding history that have room in so many characters. */
export function newestLines(history: string, most: number): string {
  let kept = history;
  while (kept.length > most) {
    const end = kept.indexOf('\n');
    kept = end < 0 ? '' : kept.slice(end + 1);
  }
  return kept;
}
