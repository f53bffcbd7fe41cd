/** From the session document to what the engine is told. */
import { dbToGain } from '../dsp/units.ts';
import { stageConfig } from '../engine/calibration.ts';
import type { GraphConfig, RackConfig, SessionConfig } from '../engine/config.ts';
import { EMPTY_RACK } from '../engine/config.ts';
import { toNumber } from '../engine/parameters.ts';
import { findStageKind } from '../engine/stages/catalogue.ts';
import type { Rack, SessionDocument } from '../session/document.ts';

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

/** Both sides of the switch: A with every rack empty, B as the document says. */
export function sessionConfig(document: SessionDocument): SessionConfig {
  return {
    alignmentDbfs: document.alignmentDbfs,
    a: graphConfig(document, () => EMPTY_RACK, 1),
    b: graphConfig(
      document,
      (rack) => rackConfig(rack, document.matching),
      document.matching ? dbToGain(document.mix.outputMatchDb ?? 0) : 1,
    ),
  };
}

function graphConfig(document: SessionDocument, rack: (rack: Rack) => RackConfig, outputGain: number): GraphConfig {
  return {
    channels: document.channels.map((channel) => ({
      bus: document.buses.findIndex(({ id }) => id === channel.busId),
      gain: dbToGain(channel.gainDb),
      pan: channel.pan / 100,
      rack: rack(channel.rack),
    })),
    buses: document.buses.map((bus) => ({ gain: dbToGain(bus.gainDb), rack: rack(bus.rack) })),
    mix: rack(document.mix.rack),
    outputGain,
  };
}
