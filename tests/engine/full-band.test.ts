/** The full filters of the first doubling at 44.1 kHz: what they do to time and blocks. Their aliases are alias.test.ts. */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/dsp/random.ts';
import { oversamplingLayout } from '../../src/engine/oversampling.ts';
import { rack, runRack, stage } from '../support/rig.ts';
import { steadyTone } from '../support/steady-tone.ts';

const sampleRate = 44_100;
const tanh = () => stage('soft-clip', { drive: 6, coupling: 'dc' });

describe('full filters', () => {
  it('are there at 44.1 kHz and not at 48', () => {
    expect(oversamplingLayout(4, sampleRate).doublings[0].isHalfBand).toBe(false);
    expect(oversamplingLayout(4, 48_000).doublings[0].isHalfBand).toBe(true);
  });

  it('give the same bits for any partition into blocks', () => {
    const random = seededRandom(5);
    const noise = Float32Array.from({ length: 1500 }, () => random() - 0.5);
    const [whole] = runRack(rack([tanh()]), [noise], { sampleRate });
    const [parts] = runRack(rack([tanh()]), [noise], { sampleRate, blocks: (i) => [1, 7, 64, 2, 125, 31][i % 6] });
    expect(parts).toEqual(whole);
  });

  it('delay what is added by exactly as much as the rest', () => {
    // tanh's third harmonic is in phase with that of sin³ (0 or 180°); one frame at the higher rate would be 10° at 5 kHz.
    const { harmonics } = steadyTone([tanh()], { frequency: 5000, sampleRate });
    const phase = harmonics[1].phaseDeg ?? Number.NaN;
    expect(Math.abs(Math.sin((phase * Math.PI) / 180))).toBeLessThan(1e-3);
  });
});
