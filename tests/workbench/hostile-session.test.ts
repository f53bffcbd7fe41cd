/** Session files that somebody has changed: each is a session that can be worked with, or is refused in a sentence. */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/dsp/random.ts';
import { sessionConfig } from '../../src/render/engine-config.ts';
import { parseSession, SessionError } from '../../src/session/document.ts';
import { hashesIn } from '../../src/session/hashes.ts';
import { History, wouldChange } from '../../src/session/history.ts';
import { openSessionFile } from '../../src/session/session-file.ts';
import { isUntouched } from '../../src/workbench/opening.ts';
import { keptRecord } from '../../src/workbench/trials/outcome.ts';
import { richSession, someRecord } from '../session/any-command.ts';

const hash = async (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');
const bytesOf = (text: string) => new TextEncoder().encode(text);

/** Lists in lists, as text: an object that deep could not be written by `JSON.stringify`. */
const nested = (depth: number) => '['.repeat(depth) + ']'.repeat(depth);
const withRecord = (inner: string) => {
  const trials = [{ id: 't', record: { ...someRecord('deep'), more: 'HERE' } }];
  return JSON.stringify({ ...richSession(), trials }).replace('"HERE"', inner);
};

/** What becomes of a file: `session`, or the sentence. Whatever else is thrown fails the test. */
async function outcome(text: string): Promise<string> {
  try {
    const { document } = await openSessionFile(bytesOf(text), hash);
    // Everything that a session goes through as soon as it is there.
    JSON.stringify(document);
    structuredClone(document);
    sessionConfig(document);
    isUntouched(document);
    for (const trial of document.trials) keptRecord(trial);
    const history = new History(document);
    history.dispatch({ type: 'set-matching', on: !document.matching }, 0);
    history.dispatch({ type: 'store-scene', id: 'another', name: 'Another' }, 10_000);
    wouldChange(history.document, { type: 'set-all-drives', db: 3 });
    while (history.undo());
    expect(parseSession(JSON.parse(JSON.stringify(history.document)))).toEqual(document);
    return 'session';
  } catch (fault) {
    if (!(fault instanceof SessionError)) throw fault;
    expect(fault.message).toMatch(/^[A-Z].*[.)]$/s);
    return fault.message;
  }
}

/** Values that somebody might find in the place of another. */
// biome-ignore format: a list of words
const ODD = [
  'null', '0', '-1', '1e308', '-1e308', '1e999', '5e-324', '""', '"x"', '[]', '{}', 'true', '"__proto__"', '[null]',
  '{"__proto__": {"id": 1}}', '{"constructor": null}', nested(39), nested(5000), nested(20_000), '"\\ud800"',
  `"${'a'.repeat(100_000)}"`,
];

/** Where values stand in a JSON text: after a colon, a bracket, or a comma that no key follows. */
function places(text: string): number[] {
  return [...text.matchAll(/(?<=[:,[])(?=[^\s,:\]}])(?!"[^"]*":)/g)].map(({ index }) => index);
}

/** The end of the value that begins at `from`. */
function endOf(text: string, from: number): number {
  let depth = 0;
  for (let i = from; i < text.length; i++) {
    if (text[i] === '"') {
      i = text.indexOf('"', i + 1);
      while (text[i - 1] === '\\') i = text.indexOf('"', i + 1);
    } else if ('[{'.includes(text[i])) depth++;
    else if (']}'.includes(text[i]) && --depth < 0) return i;
    else if (text[i] === ',' && depth === 0) return i;
  }
  return text.length;
}

describe('a session file that is nested deeply', () => {
  it.each([5000, 20_000, 1_000_000])('%d levels in the record of a trial: is refused in a sentence', async (depth) => {
    expect(await outcome(withRecord(nested(depth)))).toMatch(/too deep in one another\. Open another copy/);
  });

  it('is refused wherever it is, also where the schema would not look', async () => {
    const text = JSON.stringify({ ...richSession(), more: 'HERE' }).replace('"HERE"', nested(5000));
    expect(await outcome(text)).toMatch(/too deep/);
  });

  it('as deep as records of trials are is taken', async () => {
    expect(await outcome(withRecord(nested(20)))).toBe('session');
  });

  it('still tells which sound files it names', () => {
    const sha256 = 'a1'.repeat(32);
    let deep: unknown = { sha256 };
    for (let i = 0; i < 100_000; i++) deep = [deep];
    expect(hashesIn(deep)).toEqual([sha256]);
  });
});

describe('mutated session files', () => {
  const demo = readFileSync('samples/harbour-hall.json', 'utf8');
  const rich = JSON.stringify({ ...richSession(), trials: [{ id: 't', record: someRecord('one') }] });

  it('are each a session or a sentence', async () => {
    const next = seededRandom(19);
    const below = (count: number) => Math.floor(next() * count);
    const counts = new Map<string, number>();
    for (let i = 0; i < 400; i++) {
      let text = i % 2 === 0 ? rich : JSON.stringify(JSON.parse(demo));
      for (let changes = 1 + below(2); changes > 0; changes--) {
        const all = places(text);
        const from = all[below(all.length)];
        const to = endOf(text, from);
        // None at all, another one of its own, or another value.
        const kind = below(10);
        if (kind === 0) text = `${text.slice(0, from)}${text.slice(to)}`;
        else if (kind < 4) {
          const other = all[below(all.length)];
          text = `${text.slice(0, from)}${text.slice(other, endOf(text, other))}${text.slice(to)}`;
        } else text = `${text.slice(0, from)}${ODD[below(ODD.length)]}${text.slice(to)}`;
      }
      const found = (await outcome(text)).replace(/".*?"/g, '…').slice(0, 40);
      counts.set(found, (counts.get(found) ?? 0) + 1);
    }
    console.log([...counts].map(([what, count]) => `${count} × ${what}`).join('\n'));
    // All of one kind would test nothing.
    expect(counts.get('session')).toBeGreaterThan(20);
    expect(counts.size).toBeGreaterThan(4);
  });
});
