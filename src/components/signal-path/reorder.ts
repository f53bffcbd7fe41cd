import type { Command } from '../../session/commands.ts';
import { MIX_ID, type RackId, type SessionDocument } from '../../session/document.ts';

/**
 * Moves the strip one place up (−1) or down (1) among its own kind, a channel among those of its bus; `far` goes to
 * the end. Null where there is no place to go.
 */
export function moveCommand(document: SessionDocument, id: RackId, step: number, far: boolean): Command | null {
  const { channels, buses } = document;
  const channel = channels.find((one) => one.id === id);
  const list = channel ? channels.filter(({ busId }) => busId === channel.busId) : buses;
  const at = list.findIndex((one) => one.id === id);
  const place = far ? (step < 0 ? 0 : list.length - 1) : at + step;
  const other = list[place];
  if (at < 0 || step === 0 || !other || other.id === id) return null;
  return channel
    ? { type: 'move-channel', channelId: id, index: channels.indexOf(other as (typeof channels)[number]) }
    : { type: 'move-bus', busId: id, index: place };
}

/**
 * What dropping one row on another means: a channel takes the other channel's place in its bus; on a bus it becomes
 * that bus's first; on the mix it plays straight into it. A bus takes another bus's place. Null where it means nothing.
 */
export function dropCommand(document: SessionDocument, id: RackId, target: RackId): Command | null {
  if (id === target) return null;
  const { channels, buses } = document;
  const bus = buses.findIndex((one) => one.id === target);
  if (buses.some((one) => one.id === id)) return bus < 0 ? null : { type: 'move-bus', busId: id, index: bus };
  const from = channels.findIndex((one) => one.id === id);
  if (from < 0) return null;
  if (target === MIX_ID) return { type: 'move-channel', channelId: id, index: channels.length - 1, busId: null };
  const to = channels.findIndex((one) => one.id === target);
  if (to >= 0) return { type: 'move-channel', channelId: id, index: to, busId: channels[to].busId };
  if (bus < 0) return null;
  const first = channels.findIndex(({ busId }) => busId === target);
  // An index counts once the channel is taken out of its place.
  const index = first < 0 ? from : first > from ? first - 1 : first;
  return { type: 'move-channel', channelId: id, index, busId: target };
}

/**
 * What dropping several rows on another means: the first goes where it would go alone, the others follow it in their
 * order. Buses don't move along with channels. Null where it means nothing.
 */
export function dropMany(document: SessionDocument, ids: readonly RackId[], target: RackId): Command | null {
  const [first, ...others] = ids;
  if (first === undefined || ids.includes(target)) return null;
  if (others.length === 0) return dropCommand(document, first, target);
  const rows = ids.filter((id) => document.channels.some((channel) => channel.id === id));
  let now = document;
  const commands: Command[] = [];
  for (const [i, id] of rows.entries()) {
    const command = i === 0 ? dropCommand(now, id, target) : behind(now, id, rows[i - 1] as RackId);
    if (command?.type !== 'move-channel') return null;
    now = moved(now, command);
    commands.push(command);
  }
  return commands.length > 0 ? { type: 'all', commands } : null;
}

type MoveChannel = Extract<Command, { type: 'move-channel' }>;

/** The document as the next command will find it. */
function moved(document: SessionDocument, { channelId, index, busId }: MoveChannel): SessionDocument {
  const channels = document.channels.filter(({ id }) => id !== channelId);
  const channel = document.channels.find(({ id }) => id === channelId);
  if (channel) channels.splice(index, 0, busId === undefined ? channel : { ...channel, busId });
  return { ...document, channels };
}

/** Right behind another channel, in its bus. */
function behind({ channels }: SessionDocument, id: RackId, before: RackId): MoveChannel {
  const from = channels.findIndex((one) => one.id === id);
  const at = channels.findIndex((one) => one.id === before);
  // An index counts once the channel is taken out of its place.
  return { type: 'move-channel', channelId: id, index: from < at ? at : at + 1, busId: channels[at]?.busId ?? null };
}
