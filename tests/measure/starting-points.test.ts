/** The racks one can begin with: known stages, valid values, mild, and doing what their sentences say. */
import { describe, expect, it } from 'vitest';
import { parameterFault } from '../../src/engine/parameters.ts';
import { findStageKind } from '../../src/engine/stages/catalogue.ts';
import type { RackProfile } from '../../src/measure/rack-profile.ts';
import { rackProfile } from '../../src/measure/rack-profile.ts';
import { RackRenderer } from '../../src/render/rack-renderer.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { parseRack, rackFile } from '../../src/session/rack-file.ts';
import { STARTING_POINTS } from '../../src/session/starting-points.ts';

const RATE = 48_000;
const renderer = new RackRenderer(RATE, 4, -18);
const profiles = new Map<string, RackProfile>();
/** Measured once for each. */
function profileOf(id: string): RackProfile {
  const point = STARTING_POINTS.find((one) => one.id === id);
  if (!point) throw new Error(`no starting point ${id}`);
  const known = profiles.get(id) ?? runToEnd(rackProfile(renderer, point.stages, RATE, -18, null));
  profiles.set(id, known);
  return known;
}
const thd = (id: string) => profileOf(id).tones.map(({ thdPercent }) => thdPercent ?? 0);

it('have each an id and a name of their own', () => {
  expect(new Set(STARTING_POINTS.map(({ id }) => id)).size).toBe(STARTING_POINTS.length);
  expect(new Set(STARTING_POINTS.map(({ name }) => name)).size).toBe(STARTING_POINTS.length);
});

describe.each(STARTING_POINTS.map((point) => [point.name, point] as const))('%s', (_, point) => {
  it('names stages and values that there are, and is a rack that can be kept', () => {
    for (const { kind, params } of point.stages) {
      const found = findStageKind(kind);
      for (const [id, value] of Object.entries(params)) {
        const parameter = found?.parameters.find((one) => one.id === id);
        expect(parameter && parameterFault(parameter, value), `${kind} ${id}`).toBeNull();
      }
    }
    const { id, ...rack } = point;
    expect(parseRack(rackFile(point))).toEqual(rack);
  });

  it('is mild: between 0.02 and 1 % of harmonics where it works hardest, and no trim that makes it louder', () => {
    const most = Math.max(...thd(point.id));
    console.log(
      `${point.name}: ${thd(point.id)
        .map((value) => value.toFixed(3))
        .join(', ')} % at 60, 997, 5000 Hz`,
    );
    expect(most).toBeGreaterThan(0.02);
    expect(most).toBeLessThan(1);
    const trims = point.stages.reduce(
      (sum, { params }) => sum + Number(params.trimIn ?? 0) + Number(params.trimOut ?? 0),
      0,
    );
    expect(trims).toBe(0);
  });
});

describe('what their sentences say', () => {
  it('bass and edge each leave the other end alone', () => {
    const [low, , high] = thd('audible-bass');
    expect(low).toBeGreaterThan(100 * high);
    const [bass, , treble] = thd('clear-edge');
    expect(treble).toBeGreaterThan(100 * bass);
  });

  it('a fuller lead is mostly second harmonic, rounded hits are odd ones', () => {
    const [, lead] = profileOf('fuller-lead').tones;
    expect(lead.evenDbc).toBeGreaterThan((lead.oddDbc ?? 0) + 10);
    const [, hits] = profileOf('rounded-hits').tones;
    expect(hits.oddDbc).toBeGreaterThan((hits.evenDbc ?? -200) + 40);
  });
});
