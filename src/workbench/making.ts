import { MAX_BUSES } from '../engine/config.ts';
import { MAX_STAGES } from '../engine/oversampling.ts';
import { defaultValues, formatValue, USUAL_TONE_HZ } from '../engine/parameters.ts';
import { findStageKind } from '../engine/stages/catalogue.ts';
import type { StageKind } from '../engine/stages/stage-kind.ts';
import type { StageTrims } from '../measure/alignment.ts';
import { driveFor, GENTLE_SHARE } from '../measure/stage-amount.ts';
import type { Command } from '../session/commands.ts';
import type { RackId, SessionDocument, Stage } from '../session/document.ts';
import { DRIVE, findRack, newBus, newStage } from '../session/document.ts';
import { clampDrive } from '../session/drive.ts';
import { findStage } from '../session/lookup.ts';
import type { AnalysisClient } from '../workers/analysis-client.ts';
import type { Notices } from './notices.ts';
import { sentence } from './notices.ts';

export interface MakingHost {
  readonly document: SessionDocument;
  readonly analysis: Pick<AnalysisClient, 'alignment' | 'amplitudesAfter'>;
  readonly notices: Notices;
  dispatch(command: Command): void;
  undo(): void;
  newId(what: string): string;
}

/**
 * Adds a stage of the kind at the end of the rack, driven so that it adds about GENTLE_SHARE to this programme; where
 * nothing is known of that, at its defaults. Returns its id.
 */
export function addStage(host: MakingHost, rackId: RackId, kindId: string): string {
  return addStages(host, [rackId], kindId)[0] as string;
}

/** The same for several racks, each by its own programme, as one step of undo; returns the new ids in their order. */
export function addStages(host: MakingHost, rackIds: readonly RackId[], kindId: string): string[] {
  const kind = findStageKind(kindId);
  const ids = rackIds.map(() => host.newId('stage'));
  if (!kind) return ids;
  const made: { readonly id: string; readonly rackId: RackId; readonly stage: Stage; readonly share: number | null }[] =
    [];
  const commands: Command[] = [];
  for (const [i, rackId] of rackIds.entries()) {
    const rack = findRack(host.document, rackId);
    if (!rack || rack.stages.length >= MAX_STAGES) continue;
    const id = ids[i] as string;
    const one = stageFor(host, rackId, kind, id);
    made.push({ id, rackId, ...one });
    commands.push({ type: 'add-stage', rackId, index: rack.stages.length, stage: one.stage });
  }
  if (rackIds.some((rackId) => (findRack(host.document, rackId)?.stages.length ?? 0) >= MAX_STAGES)) {
    host.notices.say('info', `A rack holds ${MAX_STAGES} stages. Remove one to add another.`);
  }
  const [first] = made;
  if (!first || !commands[0]) return ids;
  host.dispatch(commands.length === 1 ? commands[0] : { type: 'all', commands });
  if (findStage(host.document, first.rackId, first.id)) {
    const sentence =
      made.length === 1
        ? addedSentence(kind, first.stage, first.share)
        : `${kind.label} added to ${made.length} racks, each driven for its own sound as far as that is known.`;
    host.notices.offerUndo(sentence, () => host.undo());
  }
  return ids;
}

/** A new stage as this programme wants it, and the share it adds there; null where nothing is known of that. */
function stageFor(host: MakingHost, rackId: RackId, kind: StageKind, id: string) {
  const plain = newStage(id, kind.id, defaultValues(kind.parameters));
  const { alignmentDbfs, allDrivesDb } = host.document;
  const programme = host.analysis.amplitudesAfter(rackId);
  const amount = programme && driveFor(plain, programme, alignmentDbfs);
  // All drives come on top of what is set.
  const driveDb = amount ? clampDrive(amount.driveDb - allDrivesDb) : null;
  const stage = driveDb === null ? plain : { ...plain, params: { ...plain.params, [DRIVE.id]: driveDb } };
  return { stage, share: amount?.share ?? null };
}

function addedSentence({ label, parameters, circuits }: StageKind, stage: Stage, share: number | null): string {
  const drive = parameters.find(({ id }) => id === DRIVE.id);
  const at = drive ? ` at ${formatValue(drive, stage.params[DRIVE.id])} drive` : '';
  if (share === null) return `${label} added${at}, its default: nothing is known of the sound here yet.`;
  const percent = 100 * share;
  // What bends one end of the spectrum was reckoned as if all of the sound were there.
  const toneHz = circuits.find((circuit) => circuit.toneHz !== USUAL_TONE_HZ)?.toneHz;
  if (toneHz !== undefined)
    return `${label} added${at}: at most ${percent.toFixed(1)} % of what lies about ${toneHz} Hz.`;
  return `${label} added${at}: about ${percent.toFixed(percent < 0.95 ? 1 : 0)} % added here.`;
}

/** A new bus, into which these channels play from now on, as one step of undo; returns its id, or null when there is no room. */
export function addBus(host: MakingHost, channelIds: readonly string[]): string | null {
  const { buses } = host.document;
  if (buses.length >= MAX_BUSES) {
    host.notices.say('info', `A session holds ${MAX_BUSES} buses. Remove one to add another.`);
    return null;
  }
  const id = host.newId('bus');
  const moves = channelIds.map((channelId): Command => ({ type: 'set-channel', channelId, busId: id }));
  host.dispatch({
    type: 'all',
    commands: [{ type: 'add-bus', bus: newBus(id, `Bus ${buses.length + 1}`) }, ...moves],
  });
  return id;
}

/** Puts the stages of these racks at the alignment level, as one step of undo, and says what that was. */
export async function setToAlignment(host: MakingHost, rackIds: readonly RackId[]): Promise<void> {
  const trims = await host.analysis.alignment(host.document, rackIds).catch((fault) => {
    host.notices.say('fault', sentence(fault));
    return null;
  });
  if (!trims) return;
  const values = rackIds.flatMap((rackId) =>
    (trims[rackId] ?? []).flatMap(({ stageId, trimIn, trimOut, driveDb }) => [
      { rackId, stageId, parameterId: 'trimIn', value: trimIn },
      { rackId, stageId, parameterId: 'trimOut', value: trimOut },
      ...(driveDb === null
        ? []
        : [{ rackId, stageId, parameterId: DRIVE.id, value: clampDrive(driveDb - host.document.allDrivesDb) }]),
    ]),
  );
  const silent = rackIds.filter(
    (rackId) => trims[rackId] === null && (findRack(host.document, rackId)?.stages.length ?? 0) > 0,
  );
  if (silent.length > 0) {
    host.notices.say('info', 'Where nothing is heard in the match region, trims stay as they are.');
  }
  if (values.length === 0) return;
  const before = host.document;
  host.dispatch({ type: 'set-many', values });
  const stages = rackIds.flatMap((rackId) => trims[rackId] ?? []);
  const text = alignedSentence(stages, host.document.alignmentDbfs);
  if (host.document !== before) host.notices.offerUndo(text, () => host.undo());
}

function alignedSentence(stages: readonly StageTrims[], alignmentDbfs: number): string {
  const counted = (count: number) => (count === 1 ? '1 stage' : `${count} stages`);
  const level = `${String(alignmentDbfs).replace('-', '−')} dBFS`;
  const lowered = stages.filter(({ driveDb }) => driveDb !== null).length;
  const drives = `the drive of ${counted(lowered)} was lowered, so that none adds more than it did or about ${100 * GENTLE_SHARE} %`;
  return `Trimmed to ${level}: ${counted(stages.length)}${lowered > 0 ? `; ${drives}` : ''}.`;
}
