/**
 * How long it takes until sound from before no longer matters. Whatever has to wait for filters follows from it: a rack's
 * warm-up, the lead of a match, the pre-roll of a trial's loop, an export's tail, a tone's way to its steady state.
 */
import type { GraphConfig, RackConfig } from './config.ts';
import { findStageKind } from './stages/catalogue.ts';
import type { StageKind } from './stages/stage-kind.ts';

/** Time that the circuits of a rack need one after the other, seconds; 0 for curves. AC coupling and emphasis aside. */
export function rackSettle(
  { on, stages }: Pick<RackConfig, 'on' | 'stages'>,
  find: (id: string) => StageKind | null | undefined = findStageKind,
): number {
  let seconds = 0;
  for (const stage of on ? stages : []) {
    if (stage.on) seconds += find(stage.kind)?.settleSeconds(stage.values) ?? 0;
  }
  return seconds;
}

/** The same of the longest way from a channel through a bus to the mix. */
export function graphSettle({ channels, buses, mix }: Pick<GraphConfig, 'channels' | 'buses' | 'mix'>): number {
  const longest = (strips: readonly { readonly rack: RackConfig }[]) =>
    Math.max(0, ...strips.map(({ rack }) => rackSettle(rack)));
  return longest(channels) + longest(buses) + rackSettle(mix);
}
