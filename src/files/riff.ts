import { AudioFileError } from './audio-file-error.ts';

/** One chunk's body inside the file. */
export interface Chunk {
  start: number;
  /** Bytes that the header claims; the file may hold fewer. */
  size: number;
}

/** The size that stands for "not known": a stream written without a way back, or RF64's pointer to its ds64 chunk. */
const UNKNOWN_SIZE = 0xffff_ffff;

function text(bytes: Uint8Array, at: number): string {
  return String.fromCharCode(bytes[at], bytes[at + 1], bytes[at + 2], bytes[at + 3]);
}

/**
 * The first chunk of each kind in a WAV (RIFF, RF64 or BW64), by its four letters.
 *
 * It is walked here and not by the library "wavefile": that one goes into LIST chunks and over them again, so that
 * forty nested LIST headers, 480 bytes, keep it busy for hours. Every step here moves on by at least eight bytes.
 */
export function wavChunks(bytes: Uint8Array): Map<string, Chunk> {
  if (bytes.length === 0) throw new AudioFileError('The file is empty; copy it again from its source.');
  const form = bytes.length >= 12 ? text(bytes, 0) : '';
  if (form === 'RIFX') {
    throw new AudioFileError('It is a big-endian WAV (RIFX), which is not read here; save it as an ordinary WAV.');
  }
  if (!['RIFF', 'RF64', 'BW64'].includes(form) || text(bytes, 8) !== 'WAVE') {
    throw new AudioFileError('It is not a WAV file, whatever its name says; export it again as WAV.');
  }
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const chunks = new Map<string, Chunk>();
  let at = 12;
  while (at + 8 <= bytes.length) {
    const id = text(bytes, at);
    const start = at + 8;
    let size = view.getUint32(at + 4, true);
    if (id === 'data' && size === UNKNOWN_SIZE) size = knownDataSize(view, chunks.get('ds64'), start);
    if (!chunks.has(id)) chunks.set(id, { start, size });
    at = start + size + (size % 2);
  }
  return chunks;
}

/** RF64 keeps the real size in its ds64 chunk (EBU Tech 3306, at byte 8); a plain stream goes on to its end. */
function knownDataSize(view: DataView, ds64: Chunk | undefined, start: number): number {
  if (ds64 && ds64.size >= 16 && ds64.start + 16 <= view.byteLength) {
    return Number(view.getBigUint64(ds64.start + 8, true));
  }
  return view.byteLength - start;
}
