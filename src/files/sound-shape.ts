/** What a file's first bytes say about its sound; a figure that its header doesn't give is absent. */
export interface SoundShape {
  /** Samples a second, the rate at which the file must be decoded so that nothing is resampled unseen. */
  sampleRate?: number;
  channels?: number;
  /** Samples of one channel, as the header states them; a recording that breaks off has fewer. */
  frames?: number;
}

/** A reader of big-endian fields that never leaves the bytes: what lies outside is 0. */
export function fieldReader(bytes: Uint8Array) {
  const u8 = (at: number) => bytes[at] ?? 0;
  const u16 = (at: number) => (u8(at) << 8) | u8(at + 1);
  const u32 = (at: number) => u16(at) * 65_536 + u16(at + 2);
  const text = (at: number, length: number) => String.fromCharCode(...bytes.subarray(at, at + length));
  return { u8, u16, u32, text };
}

/** From a FLAC STREAMINFO body: rate, channels and frames, 20, 3 and 36 bits from its byte 10 on (RFC 9639, section 8.2). */
export function streamInfoShape(bytes: Uint8Array, at: number): SoundShape {
  const { u8, u16, u32 } = fieldReader(bytes);
  const frames = (u8(at + 13) & 15) * 2 ** 32 + u32(at + 14);
  return known((u16(at + 10) << 4) | (u8(at + 12) >> 4), ((u8(at + 12) >> 1) & 7) + 1, frames);
}

/** Leaves out what can't be: a rate, a channel count or a length of 0. */
export function known(sampleRate: number, channels: number, frames = 0): SoundShape {
  return {
    ...(sampleRate > 0 ? { sampleRate } : {}),
    ...(channels > 0 ? { channels } : {}),
    ...(frames > 0 ? { frames } : {}),
  };
}
