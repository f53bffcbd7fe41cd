import { fieldReader, type SoundShape } from './sound-shape.ts';

/** Sample rates of MPEG-1 (ISO/IEC 11172-3); MPEG-2 has half of each, MPEG-2.5 a quarter. */
const RATES = [44_100, 48_000, 32_000];
/** kbit/s of Layer III, by bitrate index 1 to 14: MPEG-1, then MPEG-2 and 2.5. */
const KBITS = [
  [32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320],
  [8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160],
];
/** How far after a tag the first frame may lie: some writers pad. */
const SEARCH_BYTES = 65_536;

interface Frame extends SoundShape {
  bytes: number;
}

/** Where the file goes on behind an ID3v2 tag; 0 if it has none. Sizes have seven bits a byte. */
export function afterId3(bytes: Uint8Array): number {
  const { u8, text } = fieldReader(bytes);
  if (text(0, 3) !== 'ID3') return 0;
  const size = (u8(6) & 127) * 2 ** 21 + (u8(7) & 127) * 2 ** 14 + (u8(8) & 127) * 2 ** 7 + (u8(9) & 127);
  const footer = u8(5) & 0x10 ? 10 : 0;
  return 10 + size + footer;
}

function frameAt(bytes: Uint8Array, at: number): Frame | undefined {
  const { u8 } = fieldReader(bytes);
  const second = u8(at + 1);
  const third = u8(at + 2);
  // Eleven sync bits, a version that isn't reserved, and Layer III.
  if (u8(at) !== 0xff || (second & 0xe0) !== 0xe0 || (second & 0x06) !== 0x02) return undefined;
  const version = (second >> 3) & 3;
  const rateIndex = (third >> 2) & 3;
  const bitrateIndex = third >> 4;
  if (version === 1 || rateIndex === 3 || bitrateIndex === 0 || bitrateIndex === 15) return undefined;
  const first = version === 3;
  const sampleRate = RATES[rateIndex] / (first ? 1 : version === 2 ? 2 : 4);
  const kbits = KBITS[first ? 0 : 1][bitrateIndex - 1];
  // A frame is 1152 samples, or 576 in MPEG-2: that many bits a sample times the bitrate, and a padding byte.
  const length = Math.floor(((first ? 144_000 : 72_000) * kbits) / sampleRate) + ((third >> 1) & 1);
  return { sampleRate, channels: u8(at + 3) >> 6 === 3 ? 1 : 2, bytes: length };
}

/** The first frame that another of the same rate follows: a lone sync word is found in any file. */
export function sniffMp3(bytes: Uint8Array, from: number): SoundShape | undefined {
  const end = Math.min(bytes.length - 4, from + SEARCH_BYTES);
  for (let at = from; at < end; at++) {
    if (bytes[at] !== 0xff) continue;
    const frame = frameAt(bytes, at);
    if (frame && frameAt(bytes, at + frame.bytes)?.sampleRate === frame.sampleRate) {
      return { sampleRate: frame.sampleRate, channels: frame.channels };
    }
  }
  return undefined;
}
