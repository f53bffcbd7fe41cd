import { findParameter, findStageKind } from '../engine/stages/catalogue.ts';
import type { Command, ParameterSetting } from '../session/commands.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import { CLEAN, CURRENT, findRack, findScene, findStrip, MIX_ID } from '../session/document.ts';

type Words = { [Type in Command['type']]: (now: SessionDocument, command: Extract<Command, { type: Type }>) => string };

const words: Words = {
  'set-parameter': parameter,
  'set-many': (now, { values }) => many(values.map((value) => parameter(now, value))),
  'add-stage': (now, { rackId, stage }) => `adding ${kindName(stage.kind)} to ${rackName(now, rackId)}`,
  'remove-stage': (now, { rackId, stageId }) => `removing ${stageName(now, rackId, stageId)}`,
  'move-stage': (now, { rackId, stageId }) => `moving ${stageName(now, rackId, stageId)}`,
  'set-stage-on': (now, { rackId, stageId, on }) => `${stageName(now, rackId, stageId)} ${onOff(on)}`,
  'set-rack-on': (now, { rackId, on }) => `rack of ${rackName(now, rackId)} ${onOff(on)}`,
  'set-match-trim': (now, { rackId }) => `match trim of ${rackName(now, rackId)}`,
  'copy-rack': (now, { fromRackId, toRackIds }) =>
    `copying the rack of ${rackName(now, fromRackId)} to ${many(toRackIds.map((id) => rackName(now, id)))}`,
  'put-rack': (now, { name, rackIds }) => `putting “${name}” on ${many(rackIds.map((id) => rackName(now, id)))}`,
  'clear-rack': (now, { rackId }) => `clearing the rack of ${rackName(now, rackId)}`,
  'set-channel': (now, command) => `${channelPart(command)} of ${rackName(now, command.channelId)}`,
  'set-bus-gain': (now, { busId }) => `gain of ${rackName(now, busId)}`,
  'set-mute': (now, { stripId, on }) => `mute of ${rackName(now, stripId)} ${onOff(on)}`,
  'set-solo': (now, { stripId, on }) => `solo of ${rackName(now, stripId)} ${onOff(on)}`,
  'add-channel': (_now, { channel }) => `adding ${channel.name || 'a channel'}`,
  'remove-channel': (now, { channelId }) => `removing ${rackName(now, channelId)}`,
  'move-channel': (now, { channelId }) => `moving ${rackName(now, channelId)}`,
  'add-bus': (_now, { bus }) => `adding ${bus.name || 'a bus'}`,
  'remove-bus': (now, { busId }) => `removing ${rackName(now, busId)}`,
  'move-bus': (now, { busId }) => `moving ${rackName(now, busId)}`,
  'rename-bus': (now, { busId }) => `name of ${rackName(now, busId)}`,
  'relink-audio': (now, { channelId }) => `file of ${rackName(now, channelId)}`,
  'link-drives': (_now, { members }) => `linking ${members.length} drives`,
  'set-link-mode': () => 'how a link moves its drives',
  'unlink-drives': () => 'unlinking drives',
  'unlink-drive': (now, { rackId, stageId }) => `unlinking the drive of ${stageName(now, rackId, stageId)}`,
  'store-scene': (_now, { name }) => (name ? `keeping scene ${name}` : 'keeping a scene'),
  'update-scene': (now, { sceneId }) => `setting scene ${sceneName(now, sceneId)} to now`,
  'recall-scene': (now, { sceneId }) => `bringing back scene ${sceneName(now, sceneId)}`,
  'remove-scene': (now, { sceneId }) => `removing scene ${sceneName(now, sceneId)}`,
  'rename-scene': (now, { sceneId }) => `name of scene ${sceneName(now, sceneId)}`,
  'set-sides': (now, { a, b }) =>
    many([
      ...(a === undefined ? [] : [`side A to ${sceneName(now, a)}`]),
      ...(b === undefined ? [] : [`side B to ${sceneName(now, b)}`]),
    ]),
  'set-scope': () => 'what the switch compares',
  'set-all-drives': () => 'all drives',
  'rename-session': () => 'name of the session',
  'set-notes': (now, { place }) => {
    switch (place.kind) {
      case 'session':
        return 'notes on the session';
      case 'scene':
        return `notes on scene ${sceneName(now, place.sceneId)}`;
      case 'rack':
        return `notes on ${rackName(now, place.rackId)}`;
      case 'stage':
        return `notes on ${stageName(now, place.rackId, place.stageId)}`;
    }
  },
  'set-alignment': () => 'operating level',
  'set-solo-through-buses': (_now, { on }) => `solo through the buses ${onOff(on)}`,
  'set-loop': (_now, { region }) => (region ? 'loop' : 'clearing the loop'),
  'set-match-region': () => 'match region',
  'set-matching': (_now, { on }) => `matching ${onOff(on)}`,
  'set-export-oversampling': () => 'over-sampling of the export',
  'remove-trial': () => 'removing a blind trial',
  all: (now, { commands }) => many(commands.map((command) => describeCommand(now, command))),
};

/**
 * What a command does to the session as it is before, as a part of a sentence: "drive of Melodica stage 1". It is kept
 * with the step of undo, which names it when it is taken back.
 */
export function describeCommand(now: SessionDocument, command: Command): string {
  const say = words[command.type] as (now: SessionDocument, command: Command) => string;
  return say(now, command).replace(/\s+/g, ' ').trim();
}

function parameter(now: SessionDocument, { rackId, stageId, parameterId }: ParameterSetting): string {
  const kind = findStageKind(findRack(now, rackId)?.stages.find(({ id }) => id === stageId)?.kind ?? '');
  const label = (kind && findParameter(kind, parameterId)?.label) || parameterId || 'a value';
  // A word begins small within a sentence, what is no word stays as it is: H3, AC.
  const word = /^[A-Z][a-z]/.test(label) ? label[0].toLowerCase() + label.slice(1) : label;
  return `${word} of ${stageName(now, rackId, stageId)}`;
}

function stageName(now: SessionDocument, rackId: RackId, stageId: string): string {
  const index = findRack(now, rackId)?.stages.findIndex(({ id }) => id === stageId) ?? -1;
  return index < 0 ? `a stage of ${rackName(now, rackId)}` : `${rackName(now, rackId)} stage ${index + 1}`;
}

function rackName(now: SessionDocument, rackId: RackId): string {
  return rackId === MIX_ID ? 'the mix' : findStrip(now, rackId)?.name || 'a channel';
}

function sceneName(now: SessionDocument, id: string): string {
  if (id === CLEAN) return 'clean';
  return id === CURRENT ? 'the racks as they are' : (findScene(now, id)?.name ?? 'a scene');
}

function kindName(id: string): string {
  const label = findStageKind(id)?.label.toLowerCase() ?? id;
  return `${/^[aeiou]/.test(label) ? 'an' : 'a'} ${label}`;
}

function channelPart({ gainDb, pan, name, busId }: Extract<Command, { type: 'set-channel' }>): string {
  if (busId !== undefined) return 'bus';
  if (name !== undefined) return 'name';
  return gainDb !== undefined ? 'gain' : pan !== undefined ? 'balance' : 'setting';
}

function onOff(on: boolean): string {
  return on ? 'on' : 'off';
}

/** The first, and how many more there are. */
function many(parts: readonly string[]): string {
  const [first = 'nothing', ...more] = [...new Set(parts)];
  return more.length === 0 ? first : `${first} and ${more.length} more`;
}
