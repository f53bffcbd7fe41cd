import { fieldReader, known, type SoundShape } from './sound-shape.ts';

/** AIFF and AIFF-C: the COMM chunk gives channels, frames, bits and the rate as an 80-bit float (SANE extended). */
export function sniffAiff(bytes: Uint8Array): SoundShape {
  const { u16, u32, text } = fieldReader(bytes);
  for (let at = 12; at + 26 <= bytes.length; ) {
    const size = u32(at + 4);
    if (text(at, 4) === 'COMM') {
      const exponent = (u16(at + 16) & 0x7fff) - 16_383;
      const rate = Math.round(u32(at + 18) * 2 ** (exponent - 31));
      return known(rate <= 10_000_000 ? rate : 0, u16(at + 8), u32(at + 10));
    }
    at += 8 + size + (size % 2);
  }
  return {};
}
