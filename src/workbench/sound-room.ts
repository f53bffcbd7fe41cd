/** How much sound a session may hold, so that a tab that is too full says so instead of going down. */

/**
 * Single-precision samples, bytes: 24 stereo files of five and a half minutes at 48 kHz. Playing holds it once more, and
 * the analysis keeps up to 2.5 GB beside it (`match-region.ts`).
 */
export const MOST_SOUND_BYTES = 3.1e9;

/** Sound that doesn't fit. The message is a sentence for the user. */
export class SoundRoomError extends Error {
  override readonly name = 'SoundRoomError';
}

export function bytesOf(sounds: Iterable<readonly Float32Array[]>): number {
  let bytes = 0;
  for (const planes of sounds) for (const plane of planes) bytes += plane.byteLength;
  return bytes;
}

/**
 * @param held bytes that the session holds already
 * @param frames of the new sound at the session's rate
 * @throws SoundRoomError where both together are too much
 */
export function checkRoom(name: string, held: number, frames: number, channels: number): void {
  if (held + 4 * frames * channels <= MOST_SOUND_BYTES) return;
  throw new SoundRoomError(
    `${name} did not come in: a session holds ${gigabytes(MOST_SOUND_BYTES)} of sound (24 stereo files of five and a half minutes at 48 kHz), and ${gigabytes(held)} are taken. Use shorter files, or mix some down first; everything else is kept.`,
  );
}

function gigabytes(bytes: number): string {
  return `${(bytes / 1e9).toFixed(1)} GB`;
}
