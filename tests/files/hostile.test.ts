import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { AudioFileError } from '../../src/files/audio-file-error.ts';
import { readFlac, writeFlac } from '../../src/files/flac.ts';
import { sniff } from '../../src/files/sniff.ts';
import { readWav, writeWav } from '../../src/files/wav.ts';
import { noise } from './sound.ts';

/** Runs a reader that may answer or throw AudioFileError with one sentence, and nothing else. */
async function answersOrSaysWhy(read: () => unknown): Promise<void> {
  try {
    await read();
  } catch (error) {
    expect(error).toBeInstanceOf(AudioFileError);
    expect((error as Error).message).toMatch(/^[A-Z].+\.$/);
  }
}

async function readAll(bytes: Uint8Array): Promise<void> {
  await answersOrSaysWhy(() => sniff(bytes));
  await answersOrSaysWhy(() => readWav(bytes));
  await answersOrSaysWhy(() => readFlac(bytes));
}

/** A good file with some bytes overwritten, cut somewhere. */
function damaged(good: Uint8Array, headerBytes: number) {
  const change = fc.tuple(fc.nat({ max: headerBytes - 1 }), fc.nat({ max: 255 }));
  return fc.tuple(fc.array(change, { maxLength: 8 }), fc.nat({ max: good.length })).map(([changes, cut]) => {
    const bytes = good.slice(0, good.length - Math.floor((cut * cut) / good.length / 2));
    for (const [at, value] of changes) if (at < bytes.length) bytes[at] = value;
    return bytes;
  });
}

describe('hostile files', () => {
  it('any bytes', async () => {
    await fc.assert(fc.asyncProperty(fc.uint8Array({ maxLength: 400 }), readAll), { numRuns: 300 });
  });

  it('any bytes behind each magic word', async () => {
    const words = ['RIFF\0\0\0\0WAVEfmt ', 'RF64\0\0\0\0WAVEds64', 'FORM\0\0\0\0AIFFCOMM', 'OggS', 'fLaC', 'ID3\x04'];
    const word = fc.constantFrom(...words, '\0\0\0\x08ftyp\0\0\0\0moov', '\0\0\0\x18ftypM4A ').map((text) => [...text]);
    const file = fc.tuple(word, fc.uint8Array({ maxLength: 400 })).map(([letters, rest]) => {
      return Uint8Array.from([...letters.map((letter) => letter.charCodeAt(0)), ...rest]);
    });
    await fc.assert(fc.asyncProperty(file, readAll), { numRuns: 500 });
  });

  it('a damaged WAV', async () => {
    const bext = { description: 'x', codingHistory: 'y\r\n' };
    const files = [
      writeWav(noise(2, 300), { bits: 24 }),
      writeWav(noise(6, 100), { bits: 'float' }),
      writeWav({ ...noise(1, 300), bext }, { bits: 16 }),
    ];
    for (const good of files) await fc.assert(fc.asyncProperty(damaged(good, 80), readAll), { numRuns: 400 });
  });

  it('a damaged FLAC', async () => {
    const good = await writeFlac(noise(2, 9000, 16), { bits: 16 });
    await fc.assert(fc.asyncProperty(damaged(good, 300), readAll), { numRuns: 300 });
    await fc.assert(fc.asyncProperty(damaged(good, good.length), readAll), { numRuns: 300 });
  });

  it('four thousand nested LIST headers, over which a recursive reader never ends', async () => {
    const header = writeWav(noise(1, 4), { bits: 16 });
    const nested = new TextEncoder().encode('LIST\x04\0\0\0INFO'.repeat(4000));
    const bytes = new Uint8Array(header.length + nested.length);
    bytes.set(header.subarray(0, 36));
    bytes.set(nested, 36);
    bytes.set(header.subarray(36), 36 + nested.length);
    expect(readWav(bytes).channels[0].length).toBe(4);
  });
});

describe('sentences', () => {
  const good = writeWav(noise(1, 48_000), { bits: 16 });
  const changed = (at: number, ...values: number[]) => {
    const bytes = good.slice();
    bytes.set(values, at);
    return bytes;
  };
  const cases: [string, Uint8Array, string][] = [
    ['an empty file', new Uint8Array(0), 'The file is empty; copy it again from its source.'],
    ['a cut file', good.subarray(0, 24_044), 'The file breaks off: 0.3 s of 1.0 s are there;'],
    ['no channels', changed(22, 0, 0), 'It states 0 channels;'],
    ['too many channels', changed(22, 0xff, 0xff), 'It states 65535 channels;'],
    ['no rate', changed(24, 0, 0, 0, 0), 'a sample rate of 0 Hz'],
    ['an absurd rate', changed(24, 0xff, 0xff, 0xff, 0xff), 'a sample rate of 4294967295 Hz'],
    ['an absurd length', changed(40, 0xfe, 0xff, 0xff, 0x7f), 'The file breaks off: 1.0 s of'],
    ['an unfinished recording', changed(40, 0, 0, 0, 0), 'its recording was empty or never finished'],
    ['an odd frame', changed(32, 7, 0), "which doesn't fit"],
    ['a picture', Uint8Array.from([0x89, 0x50, 0x4e, 0x47]), 'It is not a WAV file, whatever its name says'],
    ['big-endian', changed(0, 0x52, 0x49, 0x46, 0x58), 'RIFX'],
    ['no data chunk', changed(36, 0x78), 'a header but no sound'],
    ['no format chunk', changed(12, 0x78), 'has no format'],
  ];
  for (const [what, bytes, sentence] of cases) {
    it(`for ${what}`, () => {
      expect(() => readWav(bytes)).toThrow(AudioFileError);
      expect(() => readWav(bytes)).toThrow(sentence);
    });
  }

  it('reads a stream whose length was never filled in, up to its end', () => {
    expect(readWav(changed(40, 0xff, 0xff, 0xff, 0xff)).channels[0].length).toBe(48_000);
  });

  it('reads NaN and infinities as 0 and says how many', () => {
    const wav = writeWav({ channels: [new Float32Array(4)], sampleRate: 48_000 }, { bits: 'float' });
    new DataView(wav.buffer).setFloat32(wav.length - 4, Number.NaN, true);
    new DataView(wav.buffer).setFloat32(wav.length - 8, Number.POSITIVE_INFINITY, true);
    const back = readWav(wav);
    expect([...back.channels[0]]).toEqual([0, 0, 0, 0]);
    expect(back.notNumbers).toBe(2);
  });

  it('refuses to write what makes no sense', () => {
    expect(() => writeWav({ channels: [], sampleRate: 48_000 }, { bits: 16 })).toThrow('0 channels');
    const uneven = { channels: [new Float32Array(3), new Float32Array(4)], sampleRate: 48_000 };
    expect(() => writeWav(uneven, { bits: 16 })).toThrow('differ in length');
  });
});
