/** How much sound a session may hold, so that a tab that is too full says so instead of going down. */

/**
 * Single-precision samples, bytes: 24 stereo files of five and a half minutes at 48 kHz. Playing holds it once more, and
 * the analysis keeps up to 2.5 GB beside it (`match-region.ts`).
 */
export const MOST_SOUND_BYTES = 3.1e9;
/** On a small machine less, by the memory that the browser tells, in bytes of sound for each gigabyte. */
const SMALL_MACHINE_GIB = 4;
const PER_GIB = 0.25e9;

/** @param memoryGib `navigator.deviceMemory`, which some browsers keep to themselves */
export function mostSoundBytes(memoryGib: number | undefined): number {
  return memoryGib !== undefined && memoryGib <= SMALL_MACHINE_GIB ? PER_GIB * memoryGib : MOST_SOUND_BYTES;
}

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
export function checkRoom(
  name: string,
  held: number,
  frames: number,
  channels: number,
  most = mostSoundBytes((globalThis.navigator as { deviceMemory?: number } | undefined)?.deviceMemory),
): void {
  if (held + 4 * frames * channels <= most) return;
  const minutes = Math.floor((2 * most) / (24 * 2 * 4 * 48_000 * 60)) / 2;
  throw new SoundRoomError(
    `${name} did not come in: this machine's browser holds ${gigabytes(most)} of sound (24 stereo files of ${minutes} minutes at 48 kHz), and ${gigabytes(held)} are taken. Use shorter files, or mix some down first; everything else is kept.`,
  );
}

function gigabytes(bytes: number): string {
  return `${(bytes / 1e9).toFixed(1)} GB`;
}
