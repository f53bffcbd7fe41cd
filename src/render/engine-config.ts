/** From the session document to what the engine is told. */
import { dbToGain } from '../dsp/units.ts';
import { stageConfig } from '../engine/calibration.ts';
import type { GraphConfig, RackConfig, SessionConfig } from '../engine/config.ts';
import { EMPTY_RACK } from '../engine/config.ts';
import { toNumber } from '../engine/parameters.ts';
import { findStageKind } from '../engine/stages/catalogue.ts';
import type { Rack, RackId, SessionDocument } from '../session/document.ts';
import { findRack, MIX_ID, rackIds } from '../session/document.ts';
import type { Hearing } from '../session/hearing.ts';

/** A rack as the engine takes it. Stages of a kind this version doesn't know are left out. */
export function rackConfig(rack: Rack, matching: boolean): RackConfig {
  const matchDb = matching && rack.on ? (rack.matchGainDb ?? 0) + rack.matchTrimDb : 0;
  return {
    on: rack.on,
    match: rack.stages.length > 0 ? dbToGain(matchDb) : 1,
    stages: rack.stages.flatMap((stage) => {
      const kind = findStageKind(stage.kind);
      if (!kind) return [];
      const values = kind.parameters.map((parameter) => toNumber(parameter, stage.params[parameter.id]));
      return [stageConfig(kind, { key: stage.id, on: stage.on, values })];
    }),
  };
}

/** Match gains of one side, dB; what isn't known yet is null. */
export interface SideGains {
  readonly racks: Readonly<Record<RackId, number | null>>;
  readonly outputDb: number | null;
}

/**
 * The trim by hand on the mix as it is heard, dB: the session's last gain aims so much above the clean mix. (It is in
 * the mix rack's gain as well; a last gain that aimed at the clean mix itself would take it back.)
 */
export function mixTrimDb(mix: Rack | undefined, matching = true): number {
  return matching && mix?.on && mix.stages.length > 0 ? mix.matchTrimDb : 0;
}

/** Both sides of the switch: A with every rack empty, B as the document says; mute and solo aside. */
export function sessionConfig(document: SessionDocument): SessionConfig {
  const racks = Object.fromEntries(rackIds(document).map((id) => [id, findRack(document, id) as Rack]));
  return {
    alignmentDbfs: document.alignmentDbfs,
    a: graphConfig(document, {}),
    b: graphConfig(document, racks, { racks: {}, outputDb: document.mix.outputMatchDb }),
  };
}

/**
 * One side of the session as the engine takes it.
 * @param racks what every rack is on that side; one that isn't named is empty
 * @param gains go before the gains that the racks hold
 * @param hearing what sounds; left out, everything
 */
export function graphConfig(
  document: SessionDocument,
  racks: Readonly<Record<RackId, Rack>>,
  gains: SideGains | null = null,
  hearing?: Hearing,
): GraphConfig {
  const { matching } = document;
  const rack = (id: RackId) => {
    if (!Object.hasOwn(racks, id)) return EMPTY_RACK;
    const own = racks[id];
    return rackConfig({ ...own, matchGainDb: gains?.racks[id] ?? own.matchGainDb }, matching);
  };
  const gain = (id: RackId, db: number, heard: readonly string[] | undefined) =>
    heard && !heard.includes(id) ? 0 : dbToGain(db);
  return {
    channels: document.channels.map(({ id, busId, gainDb, pan }) => ({
      bus: document.buses.findIndex((bus) => bus.id === busId),
      gain: gain(id, gainDb, hearing?.channels),
      pan: pan / 100,
      solo: hearing?.solo.includes(id) ?? false,
      rack: rack(id),
    })),
    buses: document.buses.map(({ id, gainDb }) => ({
      gain: gain(id, gainDb, hearing?.buses),
      solo: hearing?.solo.includes(id) ?? false,
      rack: rack(id),
    })),
    mix: rack(MIX_ID),
    outputGain: matching ? dbToGain(gains?.outputDb ?? 0) : 1,
  };
}
