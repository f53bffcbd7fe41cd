import type { StreamInfo } from './flac-library.ts';

/**
 * The encoder writes its STREAMINFO before it knows frame sizes and checksum, and can't seek back in a stream, so they
 * are filled in here: after 'fLaC' and a four-byte block header, at bytes 4 and 7 (three each, big-endian) and 18.
 */
export function completeStreamInfo(bytes: Uint8Array, info: StreamInfo): void {
  const body = 8;
  const put = (at: number, value: number) => {
    bytes.set([(value >> 16) & 255, (value >> 8) & 255, value & 255], at);
  };
  put(body + 4, info.min_framesize);
  put(body + 7, info.max_framesize);
  for (let i = 0; i < 16; i++) bytes[body + 18 + i] = Number.parseInt(info.md5sum.slice(2 * i, 2 * i + 2), 16);
}
