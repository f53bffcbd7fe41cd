/**
 * Aliases of single stages driven as hard as the controls allow: the worst cases of the tables that `npm run bench`
 * prints. The limits are the project's own: −100 dBc for tones to 10 kHz at any drive up to 24 dB and input up to
 * 0 dBFS (−80 where a curve just isn't driven hard enough to be integrated), −105 dB for 31 tones at the defaults.
 */
import { describe, expect, it } from 'vitest';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import { chordAlias } from '../support/chord-alias.ts';
import { drivenCurves, drivenStage, worstAlias } from '../support/driven-curves.ts';
import { rack, runRack, stage } from '../support/rig.ts';

describe('24 dB of drive at 0 dBFS', () => {
  it.each(drivenCurves)('%s', (_, kind, params) => {
    const { dbc, frequency } = worstAlias([drivenStage(kind, params, 24)], {
      sampleRate: 44_100,
      dbfs: 0,
      size: 8192,
      tones: [1245, 9970],
    });
    // Seven harmonics at −20 dBc make a curve that turns over several times in its middle.
    expect(dbc, `${frequency} Hz`).toBeLessThan(params.h7 === -20 ? -80 : -100);
  });
});

describe('a drive just below the one from which a curve is integrated', () => {
  // Peaks of 2.69, 1.99, 0.99 and 1.69 at the curve, the first two with room for what the table of gentle peaks allows.
  it.each([
    ['tanh', 44_100, -0.35],
    ['tanh', 48_000, 0.4],
    ['arctangent', 44_100, -3.1],
    ['cubic', 44_100, -8.8],
    ['algebraic', 44_100, -2.7],
  ] as const)('%s at %i Hz, %f dB', (curve, sampleRate, drive) => {
    const stages = [drivenStage('soft-clip', { curve }, drive)];
    expect(worstAlias(stages, { sampleRate, dbfs: 0, size: 8192 }).dbc).toBeLessThan(-80);
  });
});

describe('31 tones at the defaults', () => {
  it.each(stageKinds.filter(({ circuits }) => circuits.every(({ isCurve }) => isCurve)).map(({ id }) => id))(
    '%s',
    (kind) => {
      for (const sampleRate of [44_100, 48_000, 96_000]) {
        const dbc = chordAlias([drivenStage(kind, {}, 0)], { sampleRate, size: 16384 });
        expect(dbc, `${sampleRate} Hz`).toBeLessThan(-105);
      }
    },
  );
});

describe('from gentle to hard', () => {
  it('goes without a click, and stays in line with the signal', () => {
    // A tone far below the knee: whatever is heard of the change is what the change itself makes.
    const tone = Float32Array.from({ length: 9600 }, (_, i) => 0.05 * Math.sin(i * 0.02));
    const settings = (drive: number) => rack([{ ...stage('soft-clip', { drive, coupling: 'dc' }), key: 'one' }]);
    let block = 0;
    const [out] = runRack(settings(0), [tone], {
      before: (_, processor) => processor.set(settings(block++ % 20 < 10 ? 0 : 6)),
    });
    let jump = 0;
    for (let i = 400; i < out.length; i++) jump = Math.max(jump, Math.abs(out[i] - 2 * out[i - 1] + out[i - 2]));
    // The tone's own second difference is 2e-5; a step of the added part would be 1e-4 or more.
    expect(jump).toBeLessThan(3.5e-5);
  });
});
