/** Set to alignment: measured by our own meter, which tests/standards checks against BS.1770-5 and EBU Tech 3341. */
import { describe, expect, it } from 'vitest';
import { measureLoudness } from '../../src/dsp/loudness.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { defaultValues } from '../../src/engine/parameters.ts';
import { findStageKind } from '../../src/engine/stages/catalogue.ts';
import { alignmentTrims } from '../../src/measure/alignment.ts';
import { rackConfig } from '../../src/render/engine-config.ts';
import { RackRenderer } from '../../src/render/rack-renderer.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { emptyRack, type Rack, type Stage } from '../../src/session/document.ts';

const RATE = 48000;

function stage(id: string, kind: string, params: Record<string, number | string> = {}, on = true): Stage {
  const parameters = findStageKind(kind)?.parameters ?? [];
  return { ...newStage(id, kind, on), params: { ...defaultValues(parameters), ...params } };
}

function newStage(id: string, kind: string, on: boolean): Stage {
  return { id, kind, on, params: {} } as unknown as Stage;
}

function programme(level: number): Float32Array[] {
  const random = seededRandom(5);
  const plane = () =>
    Float32Array.from({ length: 4 * RATE }, (_, i) => level * gaussian(random) * (0.6 + 0.4 * Math.sin(i / 9000)));
  return [plane(), plane()];
}

const lufs = (planes: Float32Array[]) => measureLoudness(planes, RATE).integratedLufs as number;

describe('set to alignment', () => {
  const renderer = new RackRenderer(RATE, 4, -18);
  const rack: Rack = {
    ...emptyRack(),
    stages: [
      stage('one', 'soft-clip', { drive: 6, trimIn: 3 }),
      stage('off', 'diode-pair', {}, false),
      stage('two', 'harmonic-set', { trimOut: -5 }),
    ],
  };

  it.each([0.02, 0.2])('puts every stage at the alignment level and gives its loudness back (level %d)', (level) => {
    const input = programme(level);
    const trims = runToEnd(alignmentTrims(renderer, rack, input, RATE, -18));
    expect(trims?.map(({ stageId }) => stageId)).toEqual(['one', 'two']);
    let signal = input;
    for (const { stageId, trimIn, trimOut, driveDb } of trims ?? []) {
      const own = rack.stages.find(({ id }) => id === stageId) as Stage;
      const before = lufs(signal);
      // A tenth of a dB is the step of the trims.
      expect(Math.abs(before + trimIn + 18)).toBeLessThan(0.06);
      const drive = driveDb ?? own.params.drive;
      const set = { ...own, params: { ...own.params, trimIn, trimOut, drive } };
      signal = runToEnd(renderer.render(rackConfig({ ...rack, stages: [set] }, false), signal));
      expect(Math.abs(lufs(signal) - before)).toBeLessThan(0.06);
    }
  });

  it('lowers a drive where the stage would add more than before and more than about 1 %', () => {
    const quiet = runToEnd(alignmentTrims(renderer, rack, programme(0.02), RATE, -18));
    expect(quiet?.[0].driveDb).toBeLessThan(6);
    // As loud as the alignment level already, nothing is added that wasn't before.
    const level = programme(10 ** (-18.1 / 20));
    const own = { ...rack, stages: [stage('one', 'soft-clip', { drive: 6 })] };
    const there = runToEnd(alignmentTrims(renderer, own, level, RATE, Math.round(lufs(level))));
    expect(there?.[0].driveDb).toBeNull();
  });

  it('stays within the range of the trims and says nothing about silence', () => {
    const trims = runToEnd(alignmentTrims(renderer, rack, programme(0.0003), RATE, -18));
    expect(trims?.[0].trimIn).toBe(24);
    expect(runToEnd(alignmentTrims(renderer, rack, [new Float32Array(RATE)], RATE, -18))).toBeNull();
  });
});
