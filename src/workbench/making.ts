import type { AnalysisClient } from '../analysis/analysis-client.ts';
import { MAX_BUSES } from '../engine/limits.ts';
import { MAX_STAGES } from '../engine/oversampling.ts';
import { defaultValues } from '../engine/parameters.ts';
import { findStageKind } from '../engine/stages/catalogue.ts';
import type { Command } from '../session/commands.ts';
import type { RackId, SessionDocument } from '../session/document.ts';
import { findRack, newBus, newStage } from '../session/document.ts';
import type { Notices } from './notices.ts';

export interface MakingHost {
  readonly document: SessionDocument;
  readonly analysis: Pick<AnalysisClient, 'alignment'>;
  readonly notices: Notices;
  dispatch(command: Command): void;
  newId(what: string): string;
}

/** Adds a stage of the kind with its defaults at the end of the rack; returns its id. */
export function addStage(host: MakingHost, rackId: RackId, kindId: string): string {
  const kind = findStageKind(kindId);
  const rack = findRack(host.document, rackId);
  const id = host.newId('stage');
  if (!kind || !rack) return id;
  if (rack.stages.length >= MAX_STAGES) {
    host.notices.say('info', `A rack holds ${MAX_STAGES} stages. Remove one to add another.`);
    return id;
  }
  const stage = newStage(id, kindId, defaultValues(kind.parameters));
  host.dispatch({ type: 'add-stage', rackId, index: rack.stages.length, stage });
  return id;
}

/** A new bus, into which `channelId` plays from now on; returns its id, or null when there is no room. */
export function addBus(host: MakingHost, channelId: string | null): string | null {
  const { buses } = host.document;
  if (buses.length >= MAX_BUSES) {
    host.notices.say('info', `A session holds ${MAX_BUSES} buses. Remove one to add another.`);
    return null;
  }
  const id = host.newId('bus');
  host.dispatch({ type: 'add-bus', bus: newBus(id, `Bus ${buses.length + 1}`) });
  if (channelId !== null) host.dispatch({ type: 'set-channel', channelId, busId: id });
  return id;
}

/** Puts the stages of these racks at the alignment level, as one step of undo. */
export async function setToAlignment(host: MakingHost, rackIds: readonly RackId[]): Promise<void> {
  const trims = await host.analysis.alignment(host.document, rackIds);
  const values = rackIds.flatMap((rackId) =>
    (trims[rackId] ?? []).flatMap(({ stageId, trimIn, trimOut }) => [
      { rackId, stageId, parameterId: 'trimIn', value: trimIn },
      { rackId, stageId, parameterId: 'trimOut', value: trimOut },
    ]),
  );
  const silent = rackIds.filter(
    (rackId) => trims[rackId] === null && (findRack(host.document, rackId)?.stages.length ?? 0) > 0,
  );
  if (silent.length > 0) {
    host.notices.say('info', 'Where nothing is heard in the match region, trims stay as they are.');
  }
  if (values.length > 0) host.dispatch({ type: 'set-many', values });
}
