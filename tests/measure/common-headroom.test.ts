import { describe, expect, it } from 'vitest';
import { commonHeadroomDb } from '../../src/measure/common-headroom.ts';

describe('common headroom', () => {
  it.each([
    [[-1.1, -3], 0],
    [[-60, null], 0],
    [[null, Number.NEGATIVE_INFINITY], 0],
    // The louder of the two decides, down to −1 dBTP with a margin, in steps of 0.1 dB.
    [[5.1, -1.4], -6.2],
    [[-1.4, 5.1], -6.2],
    [[-1, -1], -0.1],
    [[0, -20], -1.1],
  ])('of %o is %s dB', (peaks, expected) => {
    expect(commonHeadroomDb(peaks)).toBeCloseTo(expected, 9);
  });
});
