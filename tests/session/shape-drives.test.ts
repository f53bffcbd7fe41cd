/** Sessions of version 3 counted their drives from other amounts: what they make now is what they made then. */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/dsp/random.ts';
import { gainToDb } from '../../src/dsp/units.ts';
import { alignmentAmplitude, stageConfig } from '../../src/engine/calibration.ts';
import type { StageConfig } from '../../src/engine/config.ts';
import { toNumber } from '../../src/engine/parameters.ts';
import { findStageKind } from '../../src/engine/stages/catalogue.ts';
import { emptySession, newStage, parseSession } from '../../src/session/document.ts';
import { withShapeDrive } from '../../src/session/shape-drives.ts';
import { rack, runRack } from '../support/rig.ts';

type Params = Record<string, number | string>;

const random = seededRandom(8);
const loud = Float32Array.from({ length: 4800 }, (_, i) => 0.3 * Math.sin(0.13 * i) + 0.2 * (2 * random() - 1));

/** The engine of version 3: the amplitude at 0 dB is that of the kind's defaults, with only the curve taken over. */
function asThen(kindId: string, params: Params): StageConfig {
  const kind = findStageKind(kindId)!;
  const values = kind.parameters.map((p) => toNumber(p, params[p.id] ?? p.default));
  const plain = kind.parameters.map((p) => toNumber(p, p.id === 'curve' ? params.curve : p.default));
  return { key: 'a', kind: kindId, on: true, values, amplitude: alignmentAmplitude(kind, plain) };
}

function asNow(kindId: string, params: Readonly<Record<string, unknown>>): StageConfig {
  const kind = findStageKind(kindId)!;
  const values = kind.parameters.map((p) => toNumber(p, (params[p.id] as number | undefined) ?? p.default));
  return stageConfig(kind, { key: 'a', on: true, values });
}

const algebraic = (knee: number) => ({ curve: 'algebraic', knee });
const SHAPES: [kind: string, params: Params][] = [
  ['soft-clip', {}],
  ['soft-clip', { curve: 'cubic', drive: 4 }],
  ['soft-clip', { ...algebraic(2), drive: 3 }],
  ['soft-clip', { ...algebraic(1), drive: -6 }],
  ['soft-clip', { ...algebraic(3.3), drive: 5, bias: 30 }],
  ['soft-clip', { ...algebraic(100), drive: 7, trimIn: 2, trimOut: -3 }],
  ['diode-pair', { drive: 3 }],
  ['diode-pair', { up: '2', down: '2', drive: -4 }],
  ['diode-pair', { up: '1', down: '3', bias: -20 }],
  ['diode-pair', { resistance: 47, saturation: 300, drive: 2 }],
  // Beyond what the drive can take: the trims do the rest.
  ['diode-pair', { up: '4', down: '4', resistance: 0.1, saturation: 0.1, drive: 23 }],
  ['diode-pair', { up: '4', down: '4', resistance: 100, saturation: 2000, drive: 23, trimOut: 3 }],
  ['soft-clip', { ...algebraic(1), drive: 22 }],
  ['harmonic-set', { h3: -30, drive: 4 }],
];

describe('a stage of version 3', () => {
  it.each(SHAPES)('sounds as it did: %s %j', (kind, params) => {
    const then = runRack(rack([asThen(kind, params)]), [loud])[0];
    const now = runRack(rack([asNow(kind, withShapeDrive(kind, params))]), [loud])[0];
    const worst = then.reduce((most, value, i) => Math.max(most, Math.abs(value - now[i])), 0);
    expect(gainToDb(worst)).toBeLessThan(-120);
  });

  it('has another drive where its shape was not the default, and none where it was', () => {
    expect(withShapeDrive('soft-clip', { ...algebraic(3.3), drive: 0 }).drive).not.toBeCloseTo(0, 1);
    const plain = { ...algebraic(2), drive: 3 };
    expect(withShapeDrive('soft-clip', plain)).toBe(plain);
    const unknown = { drive: 3, up: '2' };
    expect(withShapeDrive('another-kind', unknown)).toBe(unknown);
  });

  it('is moved wherever it stands: channel, bus, mix and scenes', () => {
    const set = rackOf({ ...algebraic(6), drive: 1 });
    const expected = withShapeDrive('soft-clip', { ...algebraic(6), drive: 1 }).drive;
    const document = JSON.parse(JSON.stringify(emptySession(48_000)));
    document.version = 3;
    document.mix.rack = set;
    document.buses = [{ id: 'bus', name: 'Bus', gainDb: 0, mute: false, solo: false, rack: set }];
    document.scenes = [{ id: 'scene', name: 'Scene', notes: '', racks: { mix: set, bus: set }, allDrivesDb: 0 }];
    const opened = parseSession(document);
    const racks = [opened.mix.rack, opened.buses[0].rack, ...Object.values(opened.scenes[0].racks)];
    expect(racks.map(({ stages }) => stages[0].params.drive)).toEqual(racks.map(() => expected));
  });
});

function rackOf(params: Params) {
  const stages = [newStage('one', 'soft-clip', params)];
  return { on: true, stages, matchGainDb: null, matchTrimDb: 0, notes: '' };
}
