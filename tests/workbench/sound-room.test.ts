import { describe, expect, it } from 'vitest';
import { bytesOf, checkRoom, MOST_SOUND_BYTES, SoundRoomError } from '../../src/workbench/sound-room.ts';

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
      /^one\.wav did not come in: a session holds 3\.1 GB .* 3\.0 GB are taken\. Use shorter files/,
    );
    expect(() => checkRoom('one.wav', MOST_SOUND_BYTES, 0, 2)).not.toThrow();
    expect(() => checkRoom('one.wav', MOST_SOUND_BYTES, 1, 1)).toThrow(SoundRoomError);
  });

  it('counts every plane', () => {
    expect(bytesOf([[new Float32Array(3), new Float32Array(3)], [new Float32Array(10)]])).toBe(64);
  });
});
