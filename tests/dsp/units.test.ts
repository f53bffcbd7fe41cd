import { describe, expect, it } from 'vitest';
import { unitOf } from '../../src/dsp/units.ts';

describe('the unit of a figure', () => {
  it.each([
    ['integratedLufs', 'LUFS'],
    ['loudnessRangeLu', 'LU'],
    ['truePeakDbtp', 'dBTP'],
    ['dcDbfs', 'dBFS'],
    ['crestDb', 'dB'],
    ['sampleRate', ''],
  ])('%s is in "%s"', (name, unit) => {
    expect(unitOf(name)).toBe(unit);
  });
});
