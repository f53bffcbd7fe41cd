/** SHA-256 of the files that a document names, also of one that can't be read otherwise, however deep it is. */
export function hashesIn(document: unknown): string[] {
  const found = new Set<string>();
  const seen = new Set<unknown>();
  const waiting: unknown[] = [document];
  while (waiting.length > 0) {
    const one = waiting.pop();
    if (typeof one === 'string') {
      for (const sha256 of one.match(/\b[0-9a-f]{64}\b/g) ?? []) found.add(sha256);
    } else if (typeof one === 'object' && one !== null && !seen.has(one)) {
      seen.add(one);
      for (const [key, inner] of Object.entries(one)) waiting.push(key, inner);
    }
  }
  return [...found];
}

/** SHA-256 of bytes in lower-case hex. */
export async function sha256Hex(bytes: Uint8Array<ArrayBuffer>): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
