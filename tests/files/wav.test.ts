import { describe, expect, it } from 'vitest';
import { readWav, writeWav } from '../../src/files/wav.ts';
import { decoded, ffmpeg, runFfmpeg } from './ffmpeg.ts';
import { noise } from './sound.ts';

describe('round trips', () => {
  for (const channels of [1, 2, 6]) {
    it(`keeps ${channels} channels bit-exact at 24 bit and as 32-bit floats`, () => {
      const audio = noise(channels, 1001);
      for (const bits of [24, 'float'] as const) {
        const back = readWav(writeWav(audio, { bits }));
        expect(back.sampleRate).toBe(48_000);
        expect(back.bits).toBe(bits);
        expect(back.channels).toEqual(audio.channels);
      }
    });
  }

  it('keeps 16-bit samples bit-exact at 16 bit', () => {
    const audio = noise(2, 999, 16);
    expect(readWav(writeWav(audio, { bits: 16 })).channels).toEqual(audio.channels);
  });

  it('keeps floats beyond full scale, and their sign and smallness', () => {
    const channels = [Float32Array.from([1.5, -3.25, 1e-30, -0, 1])];
    const back = readWav(writeWav({ channels, sampleRate: 44_100 }, { bits: 'float' }));
    expect(back.channels).toEqual(channels);
    expect(Object.is(back.channels[0][3], -0)).toBe(true);
  });

  it('pads odd data and states the true sizes', () => {
    const bytes = writeWav(noise(1, 3), { bits: 24 });
    const view = new DataView(bytes.buffer);
    expect(bytes.length % 2).toBe(0);
    expect(view.getUint32(4, true)).toBe(bytes.length - 8);
    expect(view.getUint32(40, true)).toBe(9);
  });

  it('reads bytes that do not start at the beginning of their buffer', () => {
    const bytes = writeWav(noise(2, 50), { bits: 24 });
    const shifted = new Uint8Array(bytes.length + 3);
    shifted.set(bytes, 3);
    expect(readWav(shifted.subarray(3)).channels).toEqual(noise(2, 50).channels);
  });
});

describe('overs', () => {
  it('limits and counts what does not fit, and says nothing at 32-bit float', () => {
    const audio = { channels: [Float32Array.from([1, -1, 1.2, -1.2, Number.NaN, 0.5])], sampleRate: 48_000 };
    const seen: number[] = [];
    const onOvers = (overs: number) => seen.push(overs);
    expect([...readWav(writeWav(audio, { bits: 16, onOvers })).channels[0]]).toEqual([
      32767 / 32768,
      -1,
      32767 / 32768,
      -1,
      0,
      0.5,
    ]);
    writeWav(audio, { bits: 'float', onOvers });
    // +1 itself is one step above the largest whole number; NaN counts in both.
    expect(seen).toEqual([4, 1]);
  });
});

describe('channel mask', () => {
  it('exposes the mask of 5.1 and writes another one', () => {
    expect(readWav(writeWav(noise(6, 9), { bits: 24 })).channelMask).toBe(0x3f);
    const side = { ...noise(6, 9), channelMask: 0x60f };
    expect(readWav(writeWav(side, { bits: 'float' })).channelMask).toBe(0x60f);
    expect(readWav(writeWav(noise(2, 9), { bits: 16 })).channelMask).toBe(0);
  });
});

describe('broadcast extension', () => {
  const bext = {
    description: 'Bass clarinet, take 3',
    originator: 'Level Best',
    originatorReference: 'HH-003',
    date: '2031-05-04',
    time: '10:20:30',
    timeReference: 48_000 * 60 * 60 * 30 + 7,
    codingHistory: 'A=PCM,F=48000,W=24,M=mono\r\n',
    loudness: { integrated: -23.06, range: 7.5, truePeak: -1.25, shortTerm: -18.02 },
  };

  it('comes back as it was written, beyond 32 bits of samples and with negative loudness', () => {
    expect(readWav(writeWav({ ...noise(1, 5), bext }, { bits: 24 })).bext).toEqual(bext);
  });

  it('writes other letters as question marks and shifts nothing', () => {
    const back = readWav(writeWav({ ...noise(1, 5), bext: { ...bext, description: 'Tür 戸' } }, { bits: 24 }));
    expect(back.bext).toEqual({ ...bext, description: 'T?r ?' });
  });

  it.skipIf(!ffmpeg)('is read by ffmpeg', () => {
    const wav = writeWav({ ...noise(1, 500), bext }, { bits: 24 });
    const text = new TextDecoder().decode(runFfmpeg({ 'a.wav': wav }, ['-i', 'a.wav', '-f', 'ffmetadata'], 'm.txt'));
    expect(text).toContain('time_reference=5184000007');
    expect(text).toContain('originator_reference=HH-003');
    expect(text).toContain('comment=Bass clarinet, take 3');
  });
});

describe('against ffmpeg', () => {
  it.skipIf(!ffmpeg)('is read back bit-exact', () => {
    for (const channels of [1, 2, 6]) {
      for (const bits of [16, 24, 'float'] as const) {
        const audio = noise(channels, 777, bits === 16 ? 16 : 24);
        const back = decoded('a.wav', writeWav(audio, { bits }));
        expect(back.length).toBe(777 * channels);
        expect(audio.channels[channels - 1].every((v, i) => v === back[i * channels + channels - 1])).toBe(true);
      }
    }
  });

  it.skipIf(!ffmpeg)('reads every format that ffmpeg writes', () => {
    const audio = noise(2, 640, 8);
    const source = { 'in.wav': writeWav(audio, { bits: 'float' }) };
    const formats = {
      pcm_u8: 8,
      pcm_s16le: 16,
      pcm_s24le: 24,
      pcm_s32le: 32,
      pcm_f32le: 'float',
      pcm_f64le: 'double',
    } as const;
    for (const [codec, bits] of Object.entries(formats)) {
      for (const rf64 of ['never', 'always']) {
        const bytes = runFfmpeg(source, ['-i', 'in.wav', '-c:a', codec, '-rf64', rf64], 'out.wav');
        const back = readWav(bytes);
        expect([codec, rf64, back.bits]).toEqual([codec, rf64, bits]);
        expect(back.channels).toEqual(audio.channels);
      }
    }
  });

  it.skipIf(!ffmpeg)('refuses compressed sound with a sentence', () => {
    const source = { 'in.wav': writeWav(noise(1, 4000), { bits: 16 }) };
    const bytes = runFfmpeg(source, ['-i', 'in.wav', '-c:a', 'pcm_mulaw'], 'out.wav');
    expect(() => readWav(bytes)).toThrow('compressed sound (WAV format 7)');
  });
});
