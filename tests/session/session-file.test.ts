/** Session files: what goes in comes out, byte for byte; what is damaged is refused in a sentence. */
import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { unzipSync, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { emptySession, newChannel } from '../../src/session/document.ts';
import { SessionError } from '../../src/session/session-error.ts';
import { openSessionFile, sessionJson, sessionZip, unreadZip } from '../../src/session/session-file.ts';

const hash = async (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');
const sound = (seed: number, length: number) => Uint8Array.from({ length }, (_, i) => (i * seed + (i >> 3)) & 255);
const text = (value: string) => new TextEncoder().encode(value);

async function session() {
  const sounds = [sound(3, 250_000), sound(7, 10)];
  const channels = await Promise.all(
    sounds.map(async (bytes, index) => {
      const reference = {
        file: index === 0 ? 'Frame drum.WAV' : 'odd name',
        sha256: await hash(bytes),
        sampleRate: 48000,
        channelCount: 1,
        frames: 100,
      };
      return { reference, channel: newChannel(`c${index}`, `Channel ${index}`, { audio: reference }), bytes };
    }),
  );
  const document = { ...emptySession(48000, 'Grüße <&"'), channels: channels.map(({ channel }) => channel) };
  const audio = new Map(channels.map(({ reference, bytes }) => [reference.sha256, bytes]));
  return { document, audio };
}

async function bytesOf(stream: ReadableStream<Uint8Array>): Promise<Uint8Array<ArrayBuffer>> {
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

function withSound(id: string, sha256: string) {
  const audio = { file: `${id}.wav`, sha256, sampleRate: 48000, channelCount: 1, frames: 100 };
  return newChannel(id, id, { audio });
}

/** The ZIP with another unpacked size for one entry in its directory. */
function declaring(zip: Uint8Array, name: string, size: number): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(zip);
  const directory = Buffer.from(bytes.buffer).lastIndexOf(name);
  // The name stands 46 bytes after the entry's start, its unpacked size 24 bytes after it.
  new DataView(bytes.buffer).setUint32(directory - 46 + 24, size, true);
  return bytes;
}

const refusal = (bytes: Uint8Array<ArrayBuffer>) =>
  openSessionFile(bytes, hash).then(
    () => 'opened',
    (error: unknown) => (error instanceof SessionError ? error.message : `not a sentence: ${error}`),
  );

describe('a session file', () => {
  it('gives document and sound back to the byte', async () => {
    const { document, audio } = await session();
    const opened = await openSessionFile(await bytesOf(sessionZip(document, audio)), hash);
    expect(opened.document).toEqual(document);
    expect(opened.missing).toEqual([]);
    expect([...opened.audio.keys()].sort()).toEqual([...audio.keys()].sort());
    for (const [sha256, bytes] of audio) expect(opened.audio.get(sha256)).toEqual(bytes);
  });

  it('can be the document alone, whose sound is then missing by name', async () => {
    const { document } = await session();
    const opened = await openSessionFile(text(sessionJson(document)), hash);
    expect(opened.document).toEqual(document);
    expect(opened.missing).toEqual(['Frame drum.WAV', 'odd name']);
  });

  it('names a sound file that was changed or left out', async () => {
    const { document, audio } = await session();
    const [first, second] = [...audio.keys()];
    const changed = new Map([
      [first, sound(9, 250_000)],
      [second, sound(9, 10)],
    ]);
    const opened = await openSessionFile(await bytesOf(sessionZip(document, changed)), hash);
    expect(opened.missing).toEqual(['Frame drum.WAV', 'odd name']);
    const partly = new Map([[second, audio.get(second) as Uint8Array<ArrayBuffer>]]);
    await expect(bytesOf(sessionZip(document, partly))).rejects.toThrow(/the sound of Frame drum\.WAV is not here/);
    const zip = unreadZip(document, [second], async (sha256) => partly.get(sha256) ?? null);
    expect((await openSessionFile(await bytesOf(zip), hash)).missing).toEqual(['Frame drum.WAV']);
  });

  it('takes sound from a source one file at a time', async () => {
    const { document, audio } = await session();
    const asked: string[] = [];
    const source = async (sha256: string) => {
      asked.push(sha256);
      return audio.get(sha256) ?? null;
    };
    const opened = await openSessionFile(await bytesOf(sessionZip(document, source)), hash);
    expect(asked).toEqual([...audio.keys()]);
    expect(opened.audio.size).toBe(2);
    await expect(bytesOf(sessionZip(document, async () => null))).rejects.toThrow(SessionError);
  });

  it('may hold sound that looks like the marks of a ZIP', async () => {
    const bytes = sound(5, 4000);
    bytes.set([0x50, 0x4b, 7, 8, 0, 0, 0, 0, 0xe8, 3, 0, 0, 0xe8, 3, 0, 0], 1000);
    bytes.set([0x50, 0x4b, 3, 4, 20, 0, 8, 0, 0, 0], 2000);
    bytes.set([0x50, 0x4b, 5, 6, 0, 0, 0, 0, 0, 0], 3000);
    const sha256 = await hash(bytes);
    const document = { ...emptySession(48000), channels: [withSound('c', sha256)] };
    const opened = await openSessionFile(await bytesOf(sessionZip(document, new Map([[sha256, bytes]]))), hash);
    expect(opened.missing).toEqual([]);
    expect(opened.audio.get(sha256)).toEqual(bytes);
  });

  it('may have been unpacked and packed again, compressed and in a folder', async () => {
    const { document, audio } = await session();
    const content = [...audio].map(([sha256, bytes]) => [`Harbour Hall/audio/${sha256}.wav`, bytes] as const);
    const json = text(sessionJson(document));
    const again = zipSync({ 'Harbour Hall/session.json': json, ...Object.fromEntries(content) }, { level: 6 });
    const opened = await openSessionFile(new Uint8Array(again), hash);
    expect(opened.document).toEqual(document);
    expect(opened.missing).toEqual([]);
  });

  it('with one damaged sound file still gives everything else', async () => {
    const { document, audio } = await session();
    const zip = await bytesOf(sessionZip(document, audio));
    const first = [...audio.values()][0];
    const at = Buffer.from(zip).indexOf(Buffer.from(first.slice(0, 1000)));
    zip[at + 100_000] ^= 255;
    const opened = await openSessionFile(zip, hash);
    expect(opened.missing).toEqual(['Frame drum.WAV']);
    expect(opened.audio.size).toBe(1);
  });

  it('that says it swells beyond any session is refused before it is unpacked', async () => {
    const { document } = await session();
    const zip = new Uint8Array(zipSync({ 'session.json': text(sessionJson(document)), 'audio/x': sound(1, 1000) }));
    expect(await refusal(declaring(zip, 'audio/x', 0xfffffff0))).toMatch(/unpack to more than a session can hold/);
    expect(await refusal(declaring(zip, 'session.json', 0x03000000))).toMatch(/session\.json in this ZIP is damaged/);
  });

  it('that swells more than it says gives no more than it says', async () => {
    const { document } = await session();
    const zeros = new Uint8Array(50_000_000);
    const sha256 = await hash(zeros);
    const one = { ...document, channels: [withSound('c', sha256)] };
    const zip = new Uint8Array(
      zipSync({ 'session.json': text(sessionJson(one)), [`audio/${sha256}`]: zeros }, { level: 1 }),
    );
    expect((await openSessionFile(zip, hash)).missing).toEqual([]);
    expect((await openSessionFile(declaring(zip, `audio/${sha256}`, 1000), hash)).missing).toEqual(['c.wav']);
  });

  it('is opened with the very bytes or refused in a sentence, however it was damaged', async () => {
    const { document, audio } = await session();
    const zips = [
      await bytesOf(sessionZip(document, audio)),
      new Uint8Array(
        zipSync({
          'session.json': text(sessionJson(document)),
          ...Object.fromEntries([...audio].map(([sha256, bytes]) => [`audio/${sha256}`, bytes])),
        }),
      ),
    ];
    // The interesting places are the directory at the end and the document at the start.
    const place = fc.oneof(
      fc.nat(3000),
      fc.nat(800).map((back) => -1 - back),
      fc.nat(),
    );
    const damage = fc.array(fc.tuple(place, fc.nat(255)), { minLength: 1, maxLength: 5 });
    await fc.assert(
      fc.asyncProperty(fc.constantFrom(...zips), damage, fc.option(fc.nat()), async (zip, changes, cut) => {
        const bytes = zip.slice(0, cut === null ? zip.length : cut % zip.length);
        for (const [at, value] of changes) if (bytes.length > 0) bytes[(at + zip.length) % bytes.length] = value;
        try {
          const opened = await openSessionFile(bytes, hash);
          for (const [sha256, content] of opened.audio) expect(await hash(content)).toBe(sha256);
          const files = opened.document.channels.map((channel) => channel.audio?.file);
          for (const file of opened.missing) expect(files).toContain(file);
        } catch (error) {
          if (!(error instanceof SessionError)) throw error;
          expect(error.message).toMatch(/^[A-Z].*[.)]$/);
        }
      }),
      { numRuns: 300, seed: 22 },
    );
  });

  it('is refused in a sentence when it is empty, foreign or damaged', async () => {
    const { document, audio } = await session();
    const zip = await bytesOf(sessionZip(document, audio));
    expect(await refusal(new Uint8Array(0))).toMatch(/empty/);
    expect(await refusal(text('{"tracks": []}'))).toMatch(/not a Level Best session/);
    expect(await refusal(text('hello'))).toMatch(/neither a session/);
    expect(await refusal(zip.slice(0, 40_000))).toMatch(/damaged|no session.json/);
    expect(await refusal(Uint8Array.from([0x50, 0x4b, 3, 4, 1, 2, 3]))).toMatch(/no session.json|damaged/);
    const newer = JSON.stringify({ ...document, version: 99 });
    expect(await refusal(text(newer))).toMatch(/newer/);
  });
});

describe('a document that can not be read here', () => {
  it('is written as it is with its sound, and opens where it can be read', async () => {
    const { document, audio } = await session();
    const hashes = [...audio.keys(), ...audio.keys(), 'f'.repeat(64)];
    const zip = await bytesOf(unreadZip(document, hashes, async (sha256) => audio.get(sha256) ?? null));
    const opened = await openSessionFile(zip, hash);
    expect(opened.document).toEqual(document);
    expect(new Map(opened.audio)).toEqual(audio);
    const foreign = { ...document, version: 99, more: { nobody: 'knows' } };
    const other = unzipSync(await bytesOf(unreadZip(foreign, [], async () => null)));
    expect(JSON.parse(new TextDecoder().decode(other['session.json']))).toEqual(foreign);
  });
});
