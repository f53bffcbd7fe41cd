import type { GraphConfig, RackConfig } from '../../engine/config.ts';
import type { ExportPlan } from '../../export/export-plan.ts';
import type { Tap } from '../../render/tap-stream.ts';

/** What a rack costs beside its stages: the over-sampling, in stages. */
const RACK = 1;
/** An empty rack only delays. */
const EMPTY = 0.1;

/** Both mixes: nearly everything is needed for them. */
export const MIXES: readonly Tap[] = [
  { side: 'a', place: 'mix', index: 0 },
  { side: 'b', place: 'mix', index: 0 },
];

/**
 * About how long one pass over the session for these taps takes, in stages: what they depend on is computed once, and
 * nothing else.
 */
export function passCost({ a, b }: Pick<ExportPlan, 'a' | 'b'>, taps: readonly Tap[]): number {
  const of = (side: Tap['side']) => taps.filter((tap) => tap.side === side);
  return graphCost(a, of('a')) + graphCost(b, of('b'));
}

function graphCost({ channels, buses, mix }: GraphConfig, taps: readonly Tap[]): number {
  const wanted = (place: Tap['place'], index = 0) => taps.some((tap) => tap.place === place && tap.index === index);
  const whole = wanted('mix');
  const busWanted = (index: number) => whole || wanted('bus', index);
  const racks = [
    ...channels.filter(({ bus }, index) => whole || wanted('channel', index) || busWanted(bus)),
    ...buses.filter((_, index) => busWanted(index)),
  ].map(({ rack }) => rack);
  return [...racks, ...(whole ? [mix] : [])].reduce((sum, rack) => sum + rackCost(rack), 0);
}

function rackCost({ on, stages }: RackConfig): number {
  const count = on ? stages.filter((stage) => stage.on).length : 0;
  return count === 0 ? EMPTY : RACK + count;
}
