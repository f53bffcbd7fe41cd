/** The loop of a stage with emphasis: closed form is a straight line for what adds nothing, an open loop otherwise. */
import { describe, expect, it } from 'vitest';
import { defaultValues } from '../../src/engine/parameters.ts';
import { findStageKind } from '../../src/engine/stages/catalogue.ts';
import { hasMemory, stageLoop } from '../../src/measure/stage-loop.ts';
import { strongestFrequency } from '../../src/measure/strongest-frequency.ts';
import { rackConfig } from '../../src/render/engine-config.ts';
import { RackRenderer } from '../../src/render/rack-renderer.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { emptyRack, newStage } from '../../src/session/document.ts';

const RATE = 48000;
const programme = [
  Float32Array.from(
    { length: 3 * RATE },
    (_, i) => 0.2 * Math.sin((2 * Math.PI * 300 * i) / RATE) + 0.05 * Math.sin(i),
  ),
];

function loop(params: Record<string, number | string>) {
  const declared = findStageKind('soft-clip')?.parameters ?? [];
  const stage = newStage('one', 'soft-clip', { ...defaultValues(declared), ...params });
  const config = rackConfig({ ...emptyRack(), stages: [stage] }, false).stages[0];
  return runToEnd(stageLoop(new RackRenderer(RATE, 4, -18), stage, config, programme, RATE, -18));
}

/** Widest gap between the way up and the way down at the same input, relative to the largest input. */
function openness({ x, y }: { x: Float64Array; y: Float64Array }): number {
  const range = Math.max(...x.map(Math.abs));
  const points = Array.from(x, (input, i) => ({ input, output: y[i], rising: x[(i + 3) % x.length] > input }));
  let widest = 0;
  for (const up of points.filter(({ rising, input }) => rising && Math.abs(input) < 0.8 * range)) {
    const down = points
      .filter(({ rising }) => !rising)
      .reduce((best, one) => (Math.abs(one.input - up.input) < Math.abs(best.input - up.input) ? one : best));
    widest = Math.max(widest, Math.abs(up.output - down.output) / range);
  }
  return widest;
}

describe('stageLoop', () => {
  it("finds the programme's strongest frequency", () => {
    expect(Math.abs((strongestFrequency(programme[0], RATE) ?? 0) - 300)).toBeLessThan(RATE / 16384);
    expect(strongestFrequency(new Float32Array(RATE), RATE)).toBeNull();
  });

  it('is open for a driven stage with emphasis and closed without', () => {
    const emphasised = loop({ drive: 12, tilt: 12, tiltFrequency: 300 });
    const plain = loop({ drive: 12 });
    expect(emphasised?.x.length).toBe(192);
    const open = openness(emphasised as NonNullable<typeof emphasised>);
    const closed = openness(plain as NonNullable<typeof plain>);
    expect(open).toBeGreaterThan(0.08);
    expect(closed).toBeLessThan(0.03);
  });

  it('is the straight line where the stage adds nothing, whatever its trims and polarity', () => {
    const found = loop({ blend: 0, tilt: 6, trimIn: 5, trimOut: -3, polarity: 'inverted' });
    found?.x.forEach((x, i) => {
      expect(found.y[i]).toBeCloseTo(x, 5);
    });
  });

  it('belongs to stages with emphasis only', () => {
    expect(hasMemory(newStage('a', 'soft-clip', { tilt: 3 }))).toBe(true);
    expect(hasMemory(newStage('a', 'soft-clip', { tilt: 0 }))).toBe(false);
  });
});
