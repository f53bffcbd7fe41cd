/** A session with the record of a blind trial in it is ten levels deep; a later version may have some more. */
const DEEPEST = 40;

/**
 * Whether lists and objects lie in one another deeper than any session's do. Whatever walks a document calls itself for
 * each level, and so do `JSON.stringify` and the browser's store: thousands of them end in an overflow of the stack.
 * This one keeps a list of what is yet to be looked at instead, so it can be asked about anything that was parsed.
 */
export function isNestedTooDeep(value: unknown): boolean {
  let level: unknown[] = [value];
  for (let depth = 0; level.length > 0; depth++) {
    if (depth > DEEPEST) return true;
    const next: unknown[] = [];
    for (const one of level) {
      if (typeof one !== 'object' || one === null) continue;
      for (const inner of Object.values(one)) if (typeof inner === 'object' && inner !== null) next.push(inner);
    }
    level = next;
  }
  return false;
}
