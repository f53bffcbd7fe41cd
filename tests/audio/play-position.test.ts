import { describe, expect, it } from 'vitest';
import { PlayPosition } from '../../src/audio/play-position.ts';

describe('the position of the sound', () => {
  const position = new PlayPosition();

  it('goes with the clock from where it began, and stands while nothing plays', () => {
    position.begin(2, null, 10, 100);
    expect(position.at(99)).toBe(2);
    expect(position.at(103)).toBe(5);
    expect(position.at(null)).toBe(2);
  });

  it('goes round in the session where there is no loop', () => {
    position.begin(8, null, 10, 0);
    expect(position.at(1)).toBe(9);
    expect(position.at(5)).toBeCloseTo(3, 9);
    expect(position.at(25)).toBeCloseTo(3, 9);
  });

  it('runs into a loop from before it, and then goes round in it', () => {
    position.begin(1, { startSeconds: 4, endSeconds: 6 }, 10, 0);
    expect(position.at(2)).toBe(3);
    expect(position.at(4.5)).toBe(5.5);
    expect(position.at(6)).toBeCloseTo(5, 9);
  });

  it('begins with the loop where it would begin behind it', () => {
    position.begin(9, { startSeconds: 4, endSeconds: 6 }, 10, 0);
    expect(position.at(0)).toBe(4);
  });

  it('keeps a loop within the sound; one behind its end is none', () => {
    position.begin(0, { startSeconds: 4, endSeconds: 60 }, 10, 0);
    expect(position.loop).toEqual([4, 10]);
    position.begin(0, { startSeconds: 40, endSeconds: 60 }, 10, 0);
    expect(position.loop).toEqual([0, 10]);
  });
});
