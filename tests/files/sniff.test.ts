import { describe, expect, it } from 'vitest';
import { writeFlac } from '../../src/files/flac.ts';
import { sniff } from '../../src/files/sniff.ts';
import { writeWav } from '../../src/files/wav.ts';
import { ffmpeg, runFfmpeg } from './ffmpeg.ts';
import { noise } from './sound.ts';

describe('our own files', () => {
  it('tells rate and channels of WAV and FLAC', async () => {
    const audio = { ...noise(2, 500), sampleRate: 88_200 };
    expect(sniff(writeWav(audio, { bits: 24 }))).toEqual({
      format: 'wav',
      sampleRate: 88_200,
      channels: 2,
      frames: 500,
    });
    expect(sniff(await writeFlac(audio, { bits: 24 }))).toEqual({
      format: 'flac',
      sampleRate: 88_200,
      channels: 2,
      frames: 500,
    });
  });

  it('finds a FLAC behind an ID3 tag', async () => {
    const flac = await writeFlac(noise(1, 500), { bits: 16 });
    const tagged = new Uint8Array(10 + 200 + flac.length);
    tagged.set([0x49, 0x44, 0x33, 4, 0, 0, 0, 0, 1, 200 - 128]);
    tagged.set(flac, 210);
    expect(sniff(tagged)).toEqual({ format: 'flac', sampleRate: 48_000, channels: 1, frames: 500 });
  });
});

describe('files that ffmpeg makes', () => {
  const cases: [string, string, string[], number, number][] = [
    ['x.aiff', 'aiff', [], 44_100, 2],
    ['x.aiff', 'aiff', [], 96_000, 1],
    ['x.mp3', 'mp3', ['-c:a', 'libmp3lame'], 44_100, 2],
    ['x.mp3', 'mp3', ['-c:a', 'libmp3lame', '-id3v2_version', '0', '-write_xing', '0'], 22_050, 1],
    ['x.ogg', 'ogg', ['-c:a', 'libvorbis'], 44_100, 2],
    ['x.opus', 'ogg', ['-c:a', 'libopus'], 48_000, 2],
    ['x.oga', 'ogg', ['-c:a', 'flac'], 88_200, 1],
    ['x.m4a', 'm4a', ['-c:a', 'aac'], 44_100, 2],
    ['x.m4a', 'm4a', ['-c:a', 'aac', '-movflags', 'faststart'], 32_000, 1],
    ['x.m4a', 'm4a', ['-c:a', 'alac'], 96_000, 2],
  ];
  for (const [name, format, options, sampleRate, channels] of cases) {
    it.skipIf(!ffmpeg)(`${name} ${options.join(' ')} at ${sampleRate} Hz, ${channels} channels`, () => {
      const source = { 'in.wav': writeWav({ ...noise(channels, 30_000), sampleRate }, { bits: 24 }) };
      const bytes = runFfmpeg(source, ['-i', 'in.wav', ...options], name);
      // Of the other formats it stands too far from the beginning.
      const length = format === 'aiff' ? { frames: 30_000 } : {};
      expect(sniff(bytes)).toEqual({ format, sampleRate, channels, ...length });
    });
  }
});

describe('what is not known', () => {
  it('is refused with a sentence that says what to do', () => {
    expect(() => sniff(new Uint8Array(0))).toThrow('The file is empty; copy it again');
    expect(() => sniff(new TextEncoder().encode('just a letter to the band'))).toThrow('export it as WAV or FLAC');
    expect(() => sniff(Uint8Array.from([0xff, 0xfb, 0x90, 0x00, 1, 2, 3]))).toThrow('export it as WAV or FLAC');
  });
});
