import type { GraphPlan } from '../engine/graph-plan.ts';
import { planGraph, stripAt } from '../engine/graph-plan.ts';
import type { Stem } from '../measure/compare/stem-fit.ts';
import { graphConfig } from '../render/engine-config.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { SessionDocument } from '../session/document.ts';
import { exportSides } from './export-document.ts';

/** Every channel with sound. In the clean mix racks are empty, so a channel is its sound times the gains on its way. */
export function sessionStems(document: SessionDocument, sources: ReadonlyMap<string, Planes>): Stem[] {
  const playing = new Set(exportSides(document).b.channels.map(({ id }) => id));
  const plan = planGraph(graphConfig(document, {}));
  return document.channels.flatMap(({ id, name }, index) => {
    const planes = sources.get(id);
    return planes?.[0]?.length ? [{ name, planes, gains: gainsToMix(plan, index), muted: !playing.has(id) }] : [];
  });
}

function gainsToMix(plan: GraphPlan, channel: number): [left: number, right: number] {
  let [left, right] = [1, 1];
  for (let at = stripAt(plan, 'channel', channel); at >= 0; at = plan.strips[at].into) {
    left *= plan.strips[at].left;
    right *= plan.strips[at].right;
  }
  return [left, right];
}
