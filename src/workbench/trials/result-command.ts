/** What a result says to do with the session, as a command and in words. */

import type { Amount } from '../../blind/shape-set.ts';
import type { TrialRecord } from '../../blind/trial-record.ts';
import type { Analysis } from '../../blind/trial-results.ts';
import { amountText } from '../../blind/trial-words.ts';
import type { Command } from '../../session/commands.ts';
import type { RackId, SessionDocument } from '../../session/document.ts';
import { CLEAN, CURRENT, findRack, findScene, rackIds } from '../../session/document.ts';
import { clampDrive, DRIVE, driveOf } from '../../session/drive.ts';
import { wouldChange } from '../../session/history.ts';
import type { TrialControl, TrialSound } from '../../stores/trial-store.ts';
import { controlChoices, soundOf } from './choices.ts';
import { controlId, rackName, soundName, stageName } from './names.ts';

export interface ResultCommand {
  readonly command: Command;
  /** "Set the drive of Soft clip on Melodica to −3.5 dB". */
  readonly words: string;
}

/** Null where nothing was found, where the session is so already, or no longer has what it was found for. */
export function resultCommand(
  document: SessionDocument,
  record: TrialRecord,
  analysis: Analysis,
): ResultCommand | null {
  const found = commandFor(document, record, analysis);
  return found && wouldChange(document, found.command) ? found : null;
}

function commandFor(document: SessionDocument, record: TrialRecord, analysis: Analysis): ResultCommand | null {
  const { plan } = record;
  const { result } = analysis;
  if (result.kind === 'preference' && plan.kind === 'preference') {
    const wanted = result.preferred === null ? undefined : plan.sides[result.preferred]?.id;
    const sound = wanted === undefined ? null : soundOf(document, wanted);
    return sound && takeSound(document, sound);
  }
  const control = controlOf(document, record);
  const amount = control && foundAmount(record, analysis);
  return control && amount ? setAmount(document, control, amount.db) : null;
}

/** The control that a record's search turned; null where the session no longer has it. */
export function controlOf(document: SessionDocument, { plan }: TrialRecord): TrialControl | null {
  if (plan.kind !== 'drive-search' && plan.kind !== 'confirm') return null;
  return controlChoices(document).find(({ value }) => controlId(value) === plan.control.id)?.value ?? null;
}

/** What the answers speak for: an amount in steps of 0.1 dB, or clean (null); no answer is null itself. */
export function foundAmount({ plan }: TrialRecord, { result }: Analysis): { readonly db: Amount } | null {
  if (result.kind === 'drive-search') {
    if (result.verdict === 'no-preference' || result.misfit) return null;
    return { db: result.preferredDb === null ? null : Math.round(10 * result.preferredDb) / 10 };
  }
  if (result.kind !== 'confirm' || plan.kind !== 'confirm' || result.verdict === 'not-shown') return null;
  return { db: result.verdict === 'helps' ? plan.amountDb : null };
}

function setAmount(document: SessionDocument, control: TrialControl, amount: Amount): ResultCommand {
  switch (control.what) {
    case 'all':
      return amount === null
        ? allOff(document)
        : { command: { type: 'set-all-drives', db: amount }, words: `Set all drives to ${signed(amount)}` };
    case 'rack':
      return amount === null ? rackOff(document, control.rackId) : moveRack(document, control.rackId, amount);
    case 'stage': {
      const { rackId, stageId } = control;
      const name = stageName(document, rackId, stageId);
      if (amount === null) return stageOff(document, rackId, stageId);
      return {
        command: {
          type: 'all',
          commands: [
            { type: 'set-stage-on', rackId, stageId, on: true },
            { type: 'set-many', values: [{ rackId, stageId, parameterId: DRIVE.id, value: amount }] },
          ],
        },
        words: `Set the drive of ${name} to ${amountText(amount)}`,
      };
    }
  }
}

function moveRack(document: SessionDocument, rackId: RackId, amount: number): ResultCommand {
  const values = (findRack(document, rackId)?.stages ?? []).flatMap((stage) => {
    const drive = driveOf(stage);
    if (drive === null) return [];
    return [{ rackId, stageId: stage.id, parameterId: DRIVE.id, value: clampDrive(drive + amount) }];
  });
  return {
    command: { type: 'set-many', values },
    words: `Move the drives of ${rackName(document, rackId)} by ${signed(amount)}`,
  };
}

function takeSound(document: SessionDocument, sound: TrialSound): ResultCommand | null {
  switch (sound.what) {
    case 'setting': {
      if (sound.setting === CLEAN) return allOff(document);
      const scene = sound.setting === CURRENT ? undefined : findScene(document, sound.setting);
      if (!scene) return null;
      return { command: { type: 'recall-scene', sceneId: scene.id }, words: `Bring back the scene ${scene.name}` };
    }
    case 'rack':
      return sound.setting === CLEAN ? rackOff(document, sound.rackId) : null;
    case 'stage-off':
      return stageOff(document, sound.rackId, sound.stageId);
    case 'stage': {
      const { what: _, ...setting } = sound;
      return { command: { type: 'set-parameter', ...setting }, words: `Set ${soundName(document, sound)}` };
    }
  }
}

function allOff(document: SessionDocument): ResultCommand {
  const commands = rackIds(document).map((rackId): Command => ({ type: 'set-rack-on', rackId, on: false }));
  return { command: { type: 'all', commands }, words: 'Switch every rack off' };
}

function rackOff(document: SessionDocument, rackId: RackId): ResultCommand {
  return {
    command: { type: 'set-rack-on', rackId, on: false },
    words: `Switch the rack of ${rackName(document, rackId)} off`,
  };
}

function stageOff(document: SessionDocument, rackId: RackId, stageId: string): ResultCommand {
  return {
    command: { type: 'set-stage-on', rackId, stageId, on: false },
    words: `Switch ${stageName(document, rackId, stageId)} off`,
  };
}

function signed(db: number): string {
  return `${db > 0 ? '+' : ''}${amountText(db)}`;
}
