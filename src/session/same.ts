/** True when two pieces of a document say the same. What is one object is not looked into, so this is quick after a small change. */
export function isSame(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false;
  const [keys, others] = [Object.keys(a), Object.keys(b)];
  if (keys.length !== others.length || Array.isArray(a) !== Array.isArray(b)) return false;
  return keys.every((key) => Object.hasOwn(b, key) && isSame(Reflect.get(a, key), Reflect.get(b, key)));
}
