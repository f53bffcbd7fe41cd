import type { Rack, Stage } from './schema.ts';

/** Deep copies: two places of a document never share an object, or a change to one would be seen in the other. */
export function copyStage(stage: Stage): Stage {
  const { id, kind, on, params, notes } = stage;
  return { id, kind, on, params: { ...params }, notes: notes ?? '' };
}

export function copyRack(rack: Rack): Rack {
  const { on, stages, matchGainDb, matchTrimDb, notes } = rack;
  return { on, stages: stages.map(copyStage), matchGainDb, matchTrimDb, notes: notes ?? '' };
}
