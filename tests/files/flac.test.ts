import { describe, expect, it } from 'vitest';
import { AudioFileError } from '../../src/files/audio-file-error.ts';
import { readFlac, writeFlac } from '../../src/files/flac.ts';
import { writeWav } from '../../src/files/wav.ts';
import { decoded, ffmpeg, runFfmpeg } from './ffmpeg.ts';
import { noise } from './sound.ts';

describe('round trips', () => {
  for (const bits of [16, 24] as const) {
    for (const channels of [1, 2, 6]) {
      it(`keeps ${channels} channels bit-exact at ${bits} bit`, async () => {
        const audio = noise(channels, 20_011, bits);
        const back = await readFlac(await writeFlac(audio, { bits }));
        expect(back.bits).toBe(bits);
        expect(back.sampleRate).toBe(48_000);
        expect(back.channels).toEqual(audio.channels);
      });
    }
  }

  it('leaves the page its own fetch', async () => {
    const before = globalThis.fetch;
    await writeFlac(noise(1, 10), { bits: 16 });
    expect(globalThis.fetch).toBe(before);
  });

  it('counts overs', async () => {
    let overs = -1;
    const audio = { channels: [Float32Array.from([2, 0.5, -2, 1])], sampleRate: 48_000 };
    const back = await readFlac(await writeFlac(audio, { bits: 24, onOvers: (count) => (overs = count) }));
    expect(overs).toBe(3);
    expect(back.channels[0][2]).toBe(-1);
  });
});

describe('the header', () => {
  it('has length, frame sizes and checksum, filled in after the event', async () => {
    const bytes = await writeFlac(noise(2, 10_000), { bits: 24 });
    const view = new DataView(bytes.buffer);
    expect(view.getUint32(8 + 14)).toBe(10_000);
    const smallest = (view.getUint16(8 + 4) << 8) | bytes[8 + 6];
    const largest = (view.getUint16(8 + 7) << 8) | bytes[8 + 9];
    expect(smallest).toBeGreaterThan(100);
    expect(largest).toBeGreaterThanOrEqual(smallest);
    expect(bytes.subarray(8 + 18, 8 + 34).some((byte) => byte !== 0)).toBe(true);
  });

  it('notices one changed bit in the checksum or in the sound', async () => {
    const bytes = await writeFlac(noise(1, 9000), { bits: 16 });
    for (const at of [8 + 20, bytes.length - 300]) {
      const changed = bytes.slice();
      changed[at] ^= 1;
      await expect(readFlac(changed)).rejects.toThrow('damaged');
    }
  });

  it('notices that the end is missing', async () => {
    const bytes = await writeFlac(noise(1, 90_000), { bits: 16 });
    for (const length of [bytes.length - 1, bytes.length >> 1, 4000]) {
      await expect(readFlac(bytes.subarray(0, length))).rejects.toThrow(AudioFileError);
    }
  });
});

describe('what FLAC cannot hold', () => {
  it('is refused with a sentence', async () => {
    await expect(writeFlac(noise(9, 10), { bits: 24 })).rejects.toThrow('write a WAV');
    await expect(writeFlac({ ...noise(1, 10), sampleRate: 700_000 }, { bits: 24 })).rejects.toThrow('write a WAV');
    await expect(writeFlac(noise(1, 0), { bits: 24 })).rejects.toThrow('no sound to write');
    await expect(readFlac(new Uint8Array(0))).rejects.toThrow('empty');
    await expect(readFlac(writeWav(noise(1, 100), { bits: 16 }))).rejects.toThrow('No FLAC sound');
  });
});

describe('against ffmpeg', () => {
  it.skipIf(!ffmpeg)('is read back bit-exact, checksum included', async () => {
    for (const bits of [16, 24] as const) {
      const audio = noise(2, 30_000, bits);
      const bytes = await writeFlac(audio, { bits });
      const back = decoded('a.flac', bytes);
      expect(back.length).toBe(60_000);
      expect(audio.channels[1].every((value, i) => value === back[2 * i + 1])).toBe(true);
    }
  });

  it.skipIf(!ffmpeg)('reads what ffmpeg writes', async () => {
    for (const [bits, format] of [
      [16, 's16'],
      [24, 's32'],
    ] as const) {
      const audio = noise(2, 50_000, bits);
      const source = { 'in.wav': writeWav(audio, { bits }) };
      const args = ['-i', 'in.wav', '-sample_fmt', format, '-compression_level', '12'];
      const back = await readFlac(runFfmpeg(source, args, 'out.flac'));
      expect(back.bits).toBe(bits);
      expect(back.channels).toEqual(audio.channels);
    }
  });
});
