/** Session files: what goes in comes out, byte for byte; what is damaged is refused in a sentence. */
import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { emptySession, newChannel } from '../../src/session/document.ts';
import { SessionError } from '../../src/session/session-error.ts';
import { openSessionFile, sessionJson, sessionZip } from '../../src/session/session-file.ts';

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
    const changed = new Map([[first, sound(9, 250_000)]]);
    const opened = await openSessionFile(await bytesOf(sessionZip(document, changed)), hash);
    expect(opened.missing).toEqual(['Frame drum.WAV', 'odd name']);
    const partly = new Map([[second, audio.get(second) as Uint8Array<ArrayBuffer>]]);
    expect((await openSessionFile(await bytesOf(sessionZip(document, partly)), hash)).missing).toEqual([
      'Frame drum.WAV',
    ]);
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
