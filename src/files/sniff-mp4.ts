import { fieldReader, known, type SoundShape } from './sound-shape.ts';

interface Box {
  type: string;
  start: number;
  end: number;
}

/** The boxes of one level (ISO/IEC 14496-12): size, type, body; size 1 means 64 bits, 0 up to the end. */
function* boxes(bytes: Uint8Array, from: number, to: number): Generator<Box> {
  const { u32, text } = fieldReader(bytes);
  const limit = Math.min(to, bytes.length);
  for (let at = from; at + 8 <= limit; ) {
    let size = u32(at);
    let header = 8;
    if (size === 1) {
      size = u32(at + 8) * 2 ** 32 + u32(at + 12);
      header = 16;
    } else if (size === 0) {
      size = limit - at;
    }
    if (size < header) return;
    yield { type: text(at + 4, 4), start: at + header, end: Math.min(at + size, limit) };
    at += size;
  }
}

/** The first box at the end of a path of types, looked for inside one box. */
function find(bytes: Uint8Array, inside: { start: number; end: number }, path: string[]): Box | undefined {
  const [type, ...rest] = path;
  for (const box of boxes(bytes, inside.start, inside.end)) {
    if (box.type === type) return rest.length === 0 ? box : find(bytes, box, rest);
  }
  return undefined;
}

/** The first sound track of an MP4: its time scale ('mdhd') and its sample entry ('mp4a' or another of that shape). */
export function sniffMp4(bytes: Uint8Array): SoundShape {
  const { u8, u16, u32, text } = fieldReader(bytes);
  const movie = find(bytes, { start: 0, end: bytes.length }, ['moov']);
  if (!movie) return {};
  for (const track of boxes(bytes, movie.start, movie.end)) {
    if (track.type !== 'trak') continue;
    const handler = find(bytes, track, ['mdia', 'hdlr']);
    if (!handler || text(handler.start + 8, 4) !== 'soun') continue;
    const mediaHeader = find(bytes, track, ['mdia', 'mdhd']);
    const description = find(bytes, track, ['mdia', 'minf', 'stbl', 'stsd']);
    // Version 1 of mdhd has 64-bit times.
    const timeScale = mediaHeader ? u32(mediaHeader.start + (u8(mediaHeader.start) === 1 ? 20 : 12)) : 0;
    if (!description) return known(timeScale, 0);
    // stsd: version and count (8), then an entry: size, type (8), reserved and index (8), reserved (8), channels, …
    const entry = description.start + 8;
    const rate = u32(entry + 32) / 65_536;
    // With spectral band replication the entry may state half the rate that comes out; the time scale has the whole.
    const real = rate === 0 || timeScale === 2 * rate ? timeScale : rate;
    return known(Math.round(real), aacChannels(bytes, entry) ?? u16(entry + 24));
  }
  return {};
}

/** Channels by AAC's channel configuration, 1 to 7 (ISO/IEC 14496-3, table 1.19). */
const AAC_CHANNELS = [1, 2, 3, 4, 5, 6, 8];

/**
 * The channel count of an AAC entry, which its own field doesn't tell (many writers state 2 for mono): from the decoder's
 * configuration in 'esds', four bits behind the object type (5 bits) and the rate's index (4 bits).
 */
function aacChannels(bytes: Uint8Array, entry: number): number | undefined {
  const { u8, u16, u32, text } = fieldReader(bytes);
  if (text(entry + 4, 4) !== 'mp4a') return undefined;
  const esds = find(bytes, { start: entry + 36, end: entry + u32(entry) }, ['esds']);
  if (!esds) return undefined;
  // Descriptors lie in each other: a tag, a length of seven bits a byte, then fields before the next inner one.
  const fieldBytes = new Map([
    [3, 3],
    [4, 13],
  ]);
  for (let at = esds.start + 4; at < esds.end; ) {
    const tag = u8(at++);
    while (at < esds.end && u8(at) & 128) at++;
    at++;
    if (tag === 5) return AAC_CHANNELS[((u16(at) >> 3) & 15) - 1];
    const fields = fieldBytes.get(tag);
    if (fields === undefined) return undefined;
    at += fields;
  }
  return undefined;
}
