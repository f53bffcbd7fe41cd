/** What is done to several rows at once; each is one command, and so one step of undo. */
import type { Command } from '../../session/commands.ts';
import type { RackId } from '../../session/document.ts';
import type { PathRow } from './places.ts';

/** All on, unless all are on already: then all off. */
export function switchMany(rows: readonly PathRow[], what: 'mute' | 'solo'): Command {
  const strips = rows.flatMap(({ strip }) => (strip ? [strip] : []));
  const on = !strips.every((strip) => strip[what]);
  return all(strips.map(({ id }): Command => ({ type: `set-${what}`, stripId: id, on })));
}

/** The same number of decibels more for each. */
export function gainMany(rows: readonly PathRow[], byDb: number): Command {
  return all(
    rows.flatMap(({ id, kind, strip }): Command[] => {
      if (!strip) return [];
      const gainDb = strip.gainDb + byDb;
      return [
        kind === 'bus' ? { type: 'set-bus-gain', busId: id, gainDb } : { type: 'set-channel', channelId: id, gainDb },
      ];
    }),
  );
}

/** The channels among them play into the bus, or straight into the mix. */
export function routeMany(rows: readonly PathRow[], busId: string | null): Command {
  return all(channelsOf(rows).map((channelId): Command => ({ type: 'set-channel', channelId, busId })));
}

export function racksOn(rows: readonly PathRow[], on: boolean): Command {
  return all(rows.map(({ id }): Command => ({ type: 'set-rack-on', rackId: id, on })));
}

export function channelsOf(rows: readonly PathRow[]): RackId[] {
  return rows.flatMap(({ id, kind }) => (kind === 'channel' ? [id] : []));
}

function all(commands: Command[]): Command {
  return { type: 'all', commands };
}
