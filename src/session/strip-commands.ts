import * as v from 'valibot';
import type { Handlers } from './apply.ts';
import { isTaken, isTarget, moveById, removeById, tidy, within } from './apply.ts';
import { copyRack } from './copies.ts';
import { LIMITS } from './limits.ts';
import { findStrip } from './lookup.ts';
import type { AudioReference, Bus, Channel } from './schema.ts';
import { audioSchema, busSchema, channelSchema } from './schema.ts';
import { cleanName, renamed } from './text.ts';

/** Channels and buses; `stripId` is either's id. */
export type StripCommand =
  | { type: 'set-channel'; channelId: string; gainDb?: number; pan?: number; name?: string; busId?: string | null }
  | { type: 'set-bus-gain'; busId: string; gainDb: number }
  | { type: 'set-mute'; stripId: string; on: boolean }
  | { type: 'set-solo'; stripId: string; on: boolean }
  /** With an empty rack. */
  | { type: 'add-channel'; channel: Channel }
  | { type: 'remove-channel'; channelId: string }
  /** To a place in the list of channels, and into another bus where one is given. */
  | { type: 'move-channel'; channelId: string; index: number; busId?: string | null }
  /** With an empty rack. */
  | { type: 'add-bus'; bus: Bus }
  /** Its channels play into the mix from then on. */
  | { type: 'remove-bus'; busId: string }
  | { type: 'move-bus'; busId: string; index: number }
  | { type: 'rename-bus'; busId: string; name: string }
  /** Another file for the channel, or its own found again. */
  | { type: 'relink-audio'; channelId: string; audio: AudioReference };

export const stripHandlers: Handlers<StripCommand> = {
  'set-channel': (draft, { channelId, gainDb, pan, name, busId }) => {
    const channel = draft.channels.find(({ id }) => id === channelId);
    if (!channel) return;
    if (gainDb !== undefined) channel.gainDb = within(LIMITS.gainDb, gainDb, channel.gainDb);
    if (pan !== undefined) channel.pan = within(LIMITS.pan, pan, channel.pan);
    if (name !== undefined) channel.name = renamed(channel.name, name);
    if (busId !== undefined && isTarget(draft, busId)) channel.busId = busId;
  },
  'set-bus-gain': (draft, { busId, gainDb }) => {
    const bus = draft.buses.find(({ id }) => id === busId);
    if (bus) bus.gainDb = within(LIMITS.gainDb, gainDb, bus.gainDb);
  },
  'set-mute': (draft, { stripId, on }) => {
    const strip = findStrip(draft, stripId);
    if (strip) strip.mute = on;
  },
  'set-solo': (draft, { stripId, on }) => {
    const strip = findStrip(draft, stripId);
    if (strip) strip.solo = on;
  },
  'add-channel': (draft, { channel }) => {
    if (isTaken(draft, channel.id) || draft.channels.length >= LIMITS.channels) return;
    const busId = isTarget(draft, channel.busId) ? channel.busId : null;
    const fresh = { ...channel, ...fromScratch(channel), busId, audio: copyAudio(channel.audio) };
    if (v.is(channelSchema, fresh)) draft.channels.push(fresh);
  },
  'remove-channel': (draft, { channelId }) => {
    removeById(draft.channels, channelId);
    tidy(draft);
  },
  'move-channel': (draft, { channelId, index, busId }) => {
    const channel = draft.channels.find(({ id }) => id === channelId);
    if (channel && busId !== undefined && isTarget(draft, busId)) channel.busId = busId;
    moveById(draft.channels, channelId, index);
  },
  'add-bus': (draft, { bus }) => {
    if (isTaken(draft, bus.id) || draft.buses.length >= LIMITS.buses) return;
    const fresh = { ...bus, ...fromScratch(bus) };
    if (v.is(busSchema, fresh)) draft.buses.push(fresh);
  },
  'remove-bus': (draft, { busId }) => {
    removeById(draft.buses, busId);
    for (const channel of draft.channels) if (channel.busId === busId) channel.busId = null;
    tidy(draft);
  },
  'move-bus': (draft, { busId, index }) => moveById(draft.buses, busId, index),
  'rename-bus': (draft, { busId, name }) => {
    const bus = draft.buses.find(({ id }) => id === busId);
    if (bus) bus.name = renamed(bus.name, name);
  },
  'relink-audio': (draft, { channelId, audio }) => {
    const channel = draft.channels.find(({ id }) => id === channelId);
    if (channel && v.is(audioSchema, audio)) channel.audio = copyAudio(audio);
  },
};

/** What every new strip starts with, whatever else it was given. */
function fromScratch(strip: Channel | Bus): Pick<Bus, 'name' | 'mute' | 'solo' | 'rack'> {
  const { name, mute = false, solo = false, rack } = strip;
  return { name: cleanName(name), mute, solo, rack: { ...copyRack(rack), stages: [] } };
}

function copyAudio(audio: AudioReference | null): AudioReference | null {
  if (audio === null) return null;
  return audio.bext ? { ...audio, bext: { ...audio.bext } } : { ...audio };
}
