import { describe, expect, it } from 'vitest';
import {
  bytesOf,
  checkRoom,
  MOST_SOUND_BYTES,
  mostSoundBytes,
  SoundRoomError,
} from '../../src/workbench/sound-room.ts';

/** 24 stereo files of five minutes at 48 kHz, as the tool must hold. */
const FIVE_MINUTES = 300 * 48_000;

describe('room for sound', () => {
  it('holds 24 stereo files of five minutes at 48 kHz', () => {
    const held = 23 * 2 * 4 * FIVE_MINUTES;
    expect(() => checkRoom('one.wav', held, FIVE_MINUTES, 2)).not.toThrow();
  });

  it('refuses what is more with a sentence that names the file and says what to do', () => {
    const held = 26 * 2 * 4 * FIVE_MINUTES;
    expect(() => checkRoom('one.wav', held, FIVE_MINUTES, 2)).toThrow(SoundRoomError);
    expect(() => checkRoom('one.wav', held, FIVE_MINUTES, 2)).toThrow(
      /^one\.wav did not come in: this machine's browser holds 3\.1 GB of sound \(24 stereo files of 5\.5 minutes at 48 kHz\), and 3\.0 GB are taken\. Use shorter files/,
    );
    expect(() => checkRoom('one.wav', MOST_SOUND_BYTES, 0, 2)).not.toThrow();
    expect(() => checkRoom('one.wav', MOST_SOUND_BYTES, 1, 1)).toThrow(SoundRoomError);
  });

  it('is less on a small machine, and as usual where the browser says nothing', () => {
    expect(mostSoundBytes(2)).toBe(0.5e9);
    expect(mostSoundBytes(8)).toBe(MOST_SOUND_BYTES);
    expect(mostSoundBytes(undefined)).toBe(MOST_SOUND_BYTES);
    expect(() => checkRoom('one.wav', 0.9e9, FIVE_MINUTES, 2, mostSoundBytes(4))).toThrow(/1\.0 GB of sound/);
  });

  it('counts every plane', () => {
    expect(bytesOf([[new Float32Array(3), new Float32Array(3)], [new Float32Array(10)]])).toBe(64);
  });
});
