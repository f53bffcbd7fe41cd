/** The gain right after a move, from three loud seconds, against the exact one; on real recordings where there are any. */
import { describe, expect, it } from 'vitest';
import { SessionAnalysis } from '../../src/measure/session-analysis.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import type { Stage } from '../../src/session/document.ts';
import { realRecordingAt, recordingNames } from '../support/real-recordings.ts';
import { bursts, oneChannel, rackOf, stageOf } from './sessions.ts';

const RATE = 48000;
const MOVES: Record<string, [before: Stage, params: Stage['params']]> = {
  'drive up 2 dB': [stageOf('soft-clip', { drive: 4 }), { drive: 6 }],
  'drive up 12 dB': [stageOf('soft-clip', { drive: 0 }), { drive: 12 }],
  'drive down 10 dB': [stageOf('diode-pair', { drive: 10 }), { drive: 0 }],
  'trim in up 6 dB': [stageOf('soft-clip', { drive: 3 }), { trimIn: 6 }],
  'emphasis on the highs': [stageOf('harmonic-set', { drive: 6 }), { tilt: 8 }],
};

describe('provisional', () => {
  const names = ['bursts', ...recordingNames()];
  const soundOf = (name: string) =>
    name === 'bursts'
      ? [bursts(8 * RATE, RATE, 1.4, 81)]
      : realRecordingAt(name, RATE).map((plane) => plane.subarray(0, 8 * RATE));

  it.each(names)('is within its stated error of the exact gain: %s', (name) => {
    const planes = soundOf(name);
    const worst = { off: 0, said: 0, move: '' };
    for (const [move, [stage, params]] of Object.entries(MOVES)) {
      const before = oneChannel(rackOf(stage));
      const after = oneChannel(rackOf({ ...stage, params: { ...stage.params, ...params } }));
      const analysis = new SessionAnalysis(RATE, -18);
      analysis.setSource('one', planes);
      runToEnd(analysis.matches(before));
      const quick = runToEnd(analysis.provisional(after, 'one'));
      const exact = runToEnd(analysis.matches(after))?.matchesB.one;
      expect(quick?.quality).toBe('provisional');
      expect(quick?.errorLu).not.toBeNull();
      const off = Math.abs((quick?.gainDb ?? 99) - (exact?.gainDb ?? 0));
      if (off > worst.off) Object.assign(worst, { off, said: quick?.errorLu, move });
      expect(off, `${move}: off by ${off.toFixed(3)}, said ${quick?.errorLu?.toFixed(3)}`).toBeLessThanOrEqual(
        quick?.errorLu ?? 0,
      );
    }
    console.log(`${name}: worst ${worst.off.toFixed(2)} dB (${worst.move}), stated ±${worst.said.toFixed(2)}`);
  });

  it('is exact where nothing moved', () => {
    const document = oneChannel(rackOf(stageOf('soft-clip', { drive: 8 })));
    const analysis = new SessionAnalysis(RATE, -18);
    analysis.setSource('one', [bursts(8 * RATE, RATE, 1.4, 82)]);
    const exact = runToEnd(analysis.analyse(document))?.racks.one.match;
    const quick = runToEnd(analysis.provisional(document, 'one'));
    expect(quick?.gainDb).toBeCloseTo(exact?.gainDb ?? 99, 2);
  });

  it('is not given for a rack that was never analysed, and not for silence', () => {
    const document = oneChannel(rackOf(stageOf('soft-clip')));
    const analysis = new SessionAnalysis(RATE, -18);
    analysis.setSource('one', [new Float32Array(4 * RATE)]);
    expect(runToEnd(analysis.provisional(document, 'one'))).toBeNull();
    runToEnd(analysis.analyse(document));
    expect(runToEnd(analysis.provisional(document, 'one'))).toBeNull();
  });
});
