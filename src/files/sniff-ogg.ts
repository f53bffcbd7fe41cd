import { fieldReader, known, type SoundShape, streamInfoShape } from './sound-shape.ts';

/** Opus has one clock: a decoder gives 48 kHz whatever rate the encoder was fed (RFC 7845, section 5.1). */
const OPUS_RATE = 48_000;

/** The first page's only packet is the codec's identification header: Vorbis, Opus or FLAC in Ogg. */
export function sniffOgg(bytes: Uint8Array): SoundShape {
  const { u8, text } = fieldReader(bytes);
  // A page's header is 27 bytes and a table of as many lengths as its last byte says (RFC 3533, section 6).
  const packet = 27 + u8(26);
  if (text(packet, 7) === '\x01vorbis') {
    const rate = u8(packet + 12) + u8(packet + 13) * 2 ** 8 + u8(packet + 14) * 2 ** 16 + u8(packet + 15) * 2 ** 24;
    return known(rate, u8(packet + 11));
  }
  if (text(packet, 8) === 'OpusHead') return known(OPUS_RATE, u8(packet + 9));
  if (text(packet, 5) === '\x7fFLAC') return streamInfoShape(bytes, packet + 17);
  return {};
}
