/** Sessions and commands of every kind for fast-check, sensible ones and hostile ones. */
import fc from 'fast-check';
import { defaultValues } from '../../src/engine/parameters.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import type { Command } from '../../src/session/commands.ts';
import type { Channel, SessionDocument, Stage } from '../../src/session/document.ts';
import { emptyRack, emptySession, MIX_ID, newBus, newChannel, newStage } from '../../src/session/document.ts';

export function someStage(id: string, kind = 'soft-clip'): Stage {
  const declared = stageKinds.find((one) => one.id === kind);
  return newStage(id, kind, defaultValues(declared?.parameters ?? []));
}

export function someChannel(id: string, busId: string | null = null, stages: Stage[] = []): Channel {
  const audio = { file: `${id}.wav`, sha256: 'a'.repeat(64), sampleRate: 48000, channelCount: 1, frames: 48000 };
  return newChannel(id, `Microphone ${id}`, { audio, busId, rack: { ...emptyRack(), stages } });
}

/** Three channels, two of them on a bus, and a stage in each kind of rack. */
export function someSession(): SessionDocument {
  return {
    ...emptySession(48000, 'Harbour Hall'),
    channels: [
      someChannel('melodica', 'reeds', [someStage('m1'), someStage('m2', 'harmonic-set')]),
      someChannel('accordion', 'reeds'),
      someChannel('shaker'),
    ],
    buses: [
      newBus('reeds', 'Reeds', { gainDb: -1, rack: { ...emptyRack(), stages: [someStage('r1', 'diode-pair')] } }),
    ],
    mix: { rack: { ...emptyRack(), stages: [someStage('x1')] }, outputMatchDb: 0.2 },
  };
}

const rackId = fc.constantFrom('melodica', 'accordion', 'shaker', 'reeds', 'drums', MIX_ID, 'nobody', 'new');
const stageId = fc.constantFrom('m1', 'm2', 'r1', 'x1', 's1', 's2', 's3', 'nothing');
const busId = fc.constantFrom('reeds', 'drums', 'nowhere', 'new');
/** Without −0, which JSON doesn't tell from 0. */
const anyNumber = fc
  .oneof(
    fc.double({ min: -130, max: 130, noNaN: true }),
    fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0, 1e300),
  )
  .map((value) => value + 0);
const stage = fc
  .record({ id: stageId, kind: fc.constantFrom(...stageKinds.map(({ id }) => id)) })
  .map(({ id, kind }) => someStage(id, kind));
const index = fc.integer({ min: -3, max: 12 });
const region = fc.option(fc.record({ startSeconds: anyNumber, endSeconds: anyNumber }));
const text = fc.string({ maxLength: 260 });
const kindOf = <T extends Command['type']>(type: T) => fc.constant(type);

/** Any command: it may name what isn't there and carry numbers beyond any range. */
export const anyCommand: fc.Arbitrary<Command> = fc.oneof(
  fc.record({
    type: kindOf('set-parameter'),
    rackId,
    stageId,
    parameterId: fc.constantFrom('drive', 'bias', 'curve', 'unheard-of'),
    value: fc.oneof(anyNumber, text),
  }),
  fc.record({ type: kindOf('add-stage'), rackId, stage, index }),
  fc.record({ type: kindOf('remove-stage'), rackId, stageId }),
  fc.record({ type: kindOf('move-stage'), rackId, stageId, index }),
  fc.record({ type: kindOf('set-stage-on'), rackId, stageId, on: fc.boolean() }),
  fc.record({ type: kindOf('set-rack-on'), rackId, on: fc.boolean() }),
  fc.record({ type: kindOf('set-match-trim'), rackId, trimDb: anyNumber }),
  fc.record(
    {
      type: kindOf('set-channel'),
      channelId: rackId,
      gainDb: anyNumber,
      pan: anyNumber,
      name: text,
      busId: fc.option(busId),
    },
    { requiredKeys: ['type', 'channelId'] },
  ),
  fc.record({ type: kindOf('set-bus-gain'), busId, gainDb: anyNumber }),
  fc.record({
    type: kindOf('add-channel'),
    channel: fc.record({ id: rackId, bus: fc.option(busId) }).map(({ id, bus }) => someChannel(id, bus)),
  }),
  fc.record({ type: kindOf('remove-channel'), channelId: rackId }),
  fc.record({
    type: kindOf('add-bus'),
    bus: rackId.map((id) => newBus(id, 'A bus')),
  }),
  fc.record({ type: kindOf('remove-bus'), busId }),
  fc.record({ type: kindOf('rename-bus'), busId, name: text }),
  fc.record({ type: kindOf('set-loop'), region }),
  fc.record({ type: kindOf('set-match-region'), region }),
  fc.record({ type: kindOf('set-matching'), on: fc.boolean() }),
  fc.record({ type: kindOf('set-export-oversampling'), factor: fc.constantFrom(4 as const, 8 as const) }),
);
