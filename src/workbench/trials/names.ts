/** What sounds and controls of a trial are called, and the ids they have in a record. */

import { formatValue } from '../../engine/parameters.ts';
import { findParameter, findStageKind } from '../../engine/stages/catalogue.ts';
import type { RackId, SessionDocument } from '../../session/document.ts';
import { CLEAN, CURRENT, findRack, findScene, findStrip, MIX_ID } from '../../session/document.ts';
import type { TrialControl, TrialSound } from '../../stores/trial-store.ts';

/** Longest id and name in a record. */
const MOST_ID = 64;
const MOST_NAME = 200;

export function soundName(document: SessionDocument, sound: TrialSound): string {
  return named(soundWords(document, sound));
}

function soundWords(document: SessionDocument, sound: TrialSound): string {
  switch (sound.what) {
    case 'setting':
      return settingName(document, sound.setting);
    case 'rack':
      return sound.setting === CLEAN
        ? `Without the rack of ${rackName(document, sound.rackId)}`
        : `${rackName(document, sound.rackId)} as in ${settingName(document, sound.setting)}`;
    case 'stage-off':
      return `Without ${stageName(document, sound.rackId, sound.stageId)}`;
    case 'stage': {
      const { rackId, stageId, parameterId, value } = sound;
      const kind = findStageKind(findRack(document, rackId)?.stages.find(({ id }) => id === stageId)?.kind ?? '');
      const parameter = kind && findParameter(kind, parameterId);
      const said = parameter ? `${parameter.label} ${formatValue(parameter, value)}` : `${parameterId} ${value}`;
      return `${stageName(document, rackId, stageId)}: ${said}`;
    }
  }
}

export function controlName(document: SessionDocument, control: TrialControl): string {
  switch (control.what) {
    case 'all':
      return 'All drives';
    case 'rack':
      return named(`Drives of ${rackName(document, control.rackId)}`);
    case 'stage':
      return named(`Drive of ${stageName(document, control.rackId, control.stageId)}`);
  }
}

export function soundId(sound: TrialSound): string {
  switch (sound.what) {
    case 'setting':
      return sound.setting === CLEAN || sound.setting === CURRENT ? sound.setting : shortened('scene', sound.setting);
    case 'rack':
      return shortened('rack', sound.rackId, sound.setting);
    case 'stage-off':
      return shortened('without', sound.rackId, sound.stageId);
    case 'stage':
      return shortened('stage', sound.rackId, sound.stageId, sound.parameterId, String(sound.value));
  }
}

export function controlId(control: TrialControl): string {
  switch (control.what) {
    case 'all':
      return 'all';
    case 'rack':
      return shortened('rack', control.rackId);
    case 'stage':
      return shortened('stage', control.rackId, control.stageId);
  }
}

export function rackName(document: SessionDocument, rackId: RackId): string {
  return rackId === MIX_ID ? 'Mix' : (findStrip(document, rackId)?.name ?? rackId);
}

/** With a number where a rack has several of the kind: "Soft clip 2 on Melodica". */
export function stageName(document: SessionDocument, rackId: RackId, stageId: string): string {
  const stages = findRack(document, rackId)?.stages ?? [];
  const stage = stages.find(({ id }) => id === stageId);
  const alike = stages.filter(({ kind }) => kind === stage?.kind);
  const label = findStageKind(stage?.kind ?? '')?.label ?? stage?.kind ?? stageId;
  const number = alike.length > 1 && stage ? ` ${alike.indexOf(stage) + 1}` : '';
  return `${label}${number} on ${rackName(document, rackId)}`;
}

function settingName(document: SessionDocument, setting: string): string {
  if (setting === CLEAN) return 'Clean';
  return setting === CURRENT ? 'Coloured' : (findScene(document, setting)?.name ?? setting);
}

function named(words: string): string {
  return words.slice(0, MOST_NAME);
}

/** The parts in a row; where that is too long, its beginning and a number that stands for all of it. */
function shortened(...parts: readonly string[]): string {
  const whole = parts.join(' ');
  if (whole.length <= MOST_ID) return whole;
  let hash = 0;
  for (const letter of whole) hash = (Math.imul(hash, 31) + (letter.codePointAt(0) ?? 0)) | 0;
  return `${whole.slice(0, MOST_ID - 9)} ${(hash >>> 0).toString(16)}`;
}
