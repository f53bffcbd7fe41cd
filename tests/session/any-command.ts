/** Sessions and commands of every kind for fast-check, sensible ones and hostile ones. */
import fc from 'fast-check';
import { defaultValues } from '../../src/engine/parameters.ts';
import { stageKinds } from '../../src/engine/stages/catalogue.ts';
import type { Command } from '../../src/session/commands.ts';
import { applyCommand } from '../../src/session/commands.ts';
import type { Channel, SessionDocument, Stage } from '../../src/session/document.ts';
import { emptyRack, emptySession, MIX_ID, newBus, newChannel, newStage } from '../../src/session/document.ts';
import { keepTrial } from '../../src/session/kept-trials.ts';

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

/** `someSession` after some commands. */
export function changedBy(...commands: Command[]): SessionDocument {
  const draft = structuredClone(someSession());
  for (const command of commands) applyCommand(draft, command);
  return draft;
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
const text = fc.oneof(
  fc.string({ maxLength: 260 }),
  fc.constantFrom('', '  ', ' Much\n darker ', '\ud83c\udfbb'.repeat(101)),
);
const sceneId = fc.constantFrom('quiet', 'late', 'clean', 'current', 'no-scene');
const linkId = fc.constantFrom('l1', 'l2');
const mode = fc.constantFrom('relative' as const, 'absolute' as const);
/** A stage: as a rule one that is there at first. */
const aStage = fc.oneof(
  {
    weight: 2,
    arbitrary: fc.constantFrom(
      { rackId: 'melodica', stageId: 'm1' },
      { rackId: 'melodica', stageId: 'm2' },
      { rackId: 'reeds', stageId: 'r1' },
      { rackId: MIX_ID, stageId: 'x1' },
    ),
  },
  { weight: 1, arbitrary: fc.record({ rackId, stageId }) },
);
/** With the stage of `aStage`. */
const onStage = <T>(more: { [Key in keyof T]: fc.Arbitrary<T[Key]> }) =>
  fc.tuple(aStage, fc.record<T>(more)).map(([one, rest]) => ({ ...one, ...rest }));
const setting = onStage({
  parameterId: fc.constantFrom('drive', 'drive', 'trimIn', 'bias', 'curve', 'unheard-of', 'constructor', ''),
  value: fc.oneof(anyNumber, text),
});
const place = fc.oneof(
  fc.record({ kind: fc.constant('session' as const) }),
  fc.record({ kind: fc.constant('rack' as const), rackId }),
  onStage({ kind: fc.constant('stage' as const) }),
  fc.record({ kind: fc.constant('scene' as const), sceneId }),
);
const scope = fc.oneof(
  fc.record({ kind: fc.constant('all' as const) }),
  fc.record({ kind: fc.constantFrom('only' as const, 'all-but' as const), rackId }),
);
const audio = fc.record(
  {
    file: text,
    sha256: fc.constantFrom('b'.repeat(64), 'not a hash'),
    sampleRate: fc.constantFrom(44100, Number.NaN),
    channelCount: fc.constant(2),
    frames: fc.constant(1000),
    bext: fc.record({ timeReference: fc.constantFrom(0, 172800000, -1, 0.5), description: text }),
  },
  { requiredKeys: ['file', 'sha256', 'sampleRate', 'channelCount', 'frames'] },
);
/** One for every kind of command: a kind without one is a type error. */
const eachCommand: { [Type in Command['type']]: fc.Arbitrary<Omit<Extract<Command, { type: Type }>, 'type'>> } = {
  'set-parameter': setting,
  'set-many': fc.record({ values: fc.array(setting, { maxLength: 6 }) }),
  'add-stage': fc.record({ rackId, stage, index }),
  'remove-stage': aStage,
  'move-stage': onStage({ index }),
  'set-stage-on': onStage({ on: fc.boolean() }),
  'set-rack-on': fc.record({ rackId, on: fc.boolean() }),
  'set-match-trim': fc.record({ rackId, trimDb: anyNumber }),
  'copy-rack': fc.record({ fromRackId: rackId, toRackIds: fc.array(rackId, { maxLength: 4 }) }),
  'put-rack': fc.record({
    name: text,
    stages: fc.array(stage, { maxLength: 9 }),
    rackIds: fc.array(rackId, { maxLength: 4 }),
  }),
  'clear-rack': fc.record({ rackId }),
  'set-channel': fc.record(
    { channelId: rackId, gainDb: anyNumber, pan: anyNumber, name: text, busId: fc.option(busId) },
    { requiredKeys: ['channelId'] },
  ),
  'set-bus-gain': fc.record({ busId, gainDb: anyNumber }),
  'set-mute': fc.record({ stripId: rackId, on: fc.boolean() }),
  'set-solo': fc.record({ stripId: rackId, on: fc.boolean() }),
  'add-channel': fc.record({
    channel: fc.record({ id: rackId, bus: fc.option(busId) }).map(({ id, bus }) => someChannel(id, bus)),
  }),
  'remove-channel': fc.record({ channelId: rackId }),
  'move-channel': fc.record(
    { channelId: rackId, index, busId: fc.option(busId) },
    { requiredKeys: ['channelId', 'index'] },
  ),
  'add-bus': fc.record({ bus: rackId.map((id) => newBus(id, 'A bus')) }),
  'remove-bus': fc.record({ busId }),
  'move-bus': fc.record({ busId, index }),
  'rename-bus': fc.record({ busId, name: text }),
  'relink-audio': fc.record({ channelId: rackId, audio }),
  'link-drives': fc.record({ id: linkId, mode, members: fc.array(aStage, { maxLength: 6 }) }),
  'set-link-mode': fc.record({ linkId, mode }),
  'unlink-drives': fc.record({ linkId }),
  'unlink-drive': aStage,
  'store-scene': fc.record({ id: sceneId, name: text, notes: text }, { requiredKeys: ['id', 'name'] }),
  'update-scene': fc.record({ sceneId }),
  'recall-scene': fc.record({ sceneId }),
  'remove-scene': fc.record({ sceneId }),
  'rename-scene': fc.record({ sceneId, name: text }),
  'set-sides': fc.record({ a: sceneId, b: sceneId }, { requiredKeys: [] }),
  'set-scope': fc.record({ scope }),
  'set-all-drives': fc.record({ db: anyNumber }),
  'rename-session': fc.record({ name: text }),
  'set-notes': fc.record({ place, notes: text }),
  'set-alignment': fc.record({ dbfs: anyNumber }),
  'set-solo-through-buses': fc.record({ on: fc.boolean() }),
  'set-loop': fc.record({ region }),
  'set-match-region': fc.record({ region }),
  'set-matching': fc.record({ on: fc.boolean() }),
  'set-export-oversampling': fc.record({ factor: fc.constantFrom(4 as const, 8 as const) }),
  'remove-trial': fc.record({ trialId: fc.constantFrom('t1', 't2', 'no-trial') }),
  // Filled below: it holds other commands.
  all: fc.constant({ commands: [] }),
};

export const COMMAND_TYPES = Object.keys(eachCommand) as Command['type'][];

/** Any command of one kind. */
export function anyOf(type: Command['type']): fc.Arbitrary<Command> {
  if (type === 'all') {
    return fc.array(anySingle, { maxLength: 5 }).map((commands) => ({ type, commands }));
  }
  return eachCommand[type].map((rest) => ({ type, ...rest }) as Command);
}

const anySingle = fc.oneof(...COMMAND_TYPES.filter((type) => type !== 'all').map(anyOf));

/** Any command: it may name what isn't there and carry numbers beyond any range. */
export const anyCommand: fc.Arbitrary<Command> = fc.oneof(
  { weight: 12, arbitrary: anySingle },
  { weight: 1, arbitrary: anyOf('all') },
);

/** A session that has two buses, scenes, a link and blind trials already, so that commands find something to change. */
export function richSession(): SessionDocument {
  const document = changedBy(
    { type: 'set-parameter', rackId: 'melodica', stageId: 'm2', parameterId: 'drive', value: -6 },
    {
      type: 'link-drives',
      id: 'l1',
      mode: 'relative',
      members: [
        { rackId: 'melodica', stageId: 'm1' },
        { rackId: 'melodica', stageId: 'm2' },
        { rackId: 'mix', stageId: 'x1' },
      ],
    },
    { type: 'store-scene', id: 'quiet', name: 'Quiet', notes: 'Before the choir comes in' },
    { type: 'set-all-drives', db: 2 },
    { type: 'add-bus', bus: newBus('drums', 'Drums') },
    { type: 'clear-rack', rackId: 'melodica' },
    { type: 'store-scene', id: 'late', name: 'Late' },
    { type: 'recall-scene', sceneId: 'quiet' },
    { type: 'set-sides', a: 'quiet', b: 'late' },
    { type: 'set-scope', scope: { kind: 'only', rackId: 'melodica' } },
  );
  for (const id of ['t1', 't2', 't3']) keepTrial(document, { id, record: someRecord(id) });
  return document;
}

/** As much of a blind trial's record as the session looks at, and something more. */
export function someRecord(about: string) {
  return {
    format: 'level-best-trials' as const,
    version: 1,
    programme: `The bridge, ${about}`,
    trials: [{ answer: 'first' }],
  };
}
