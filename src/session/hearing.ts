import type { Bus, Channel, SessionDocument } from './schema.ts';

/** What of a session sounds. Ids of channels and buses, in the document's order. */
export interface Hearing {
  /** Channels that play into their bus, or straight into the mix. */
  readonly channels: readonly string[];
  /** Buses that play into the mix. */
  readonly buses: readonly string[];
  /**
   * Channels and buses that are heard in place of the mix: each after its own rack, gain and pan, past the buses and
   * the mix rack that follow it. Empty where the mix is heard.
   */
  readonly solo: readonly string[];
}

/**
 * What is heard while listening. Solo by itself only listens: everything goes on playing where it did, so that no bus
 * is driven with anything else than in the mix. Through the buses it silences the others instead, and the buses work
 * on what is left. Mute counts before solo.
 */
export function heardChannels(document: SessionDocument): Hearing {
  const playing = playingChannels(document);
  const { channels, buses } = document;
  const soloed = [...channels, ...buses].filter(({ solo }) => solo);
  if (soloed.length === 0) return playing;
  if (!document.soloThroughBuses) return { ...playing, solo: ids(soloed.filter(({ mute }) => !mute)) };
  const passes = (channel: Channel) => channel.solo || inSoloedBus(channel, document);
  const open = (bus: Bus) => bus.solo || channels.some((channel) => channel.solo && channel.busId === bus.id);
  return {
    channels: ids(channels.filter((channel) => !channel.mute && passes(channel))),
    buses: ids(buses.filter((bus) => !bus.mute && open(bus))),
    solo: [],
  };
}

/** What plays in the mix and so in an export, in the match and in the analysis: solo is for listening only. */
export function playingChannels({ channels, buses }: SessionDocument): Hearing {
  const audible = (list: readonly (Channel | Bus)[]) => ids(list.filter(({ mute }) => !mute));
  return { channels: audible(channels), buses: audible(buses), solo: [] };
}

/** A soloed bus passes all its channels, unless one of them is soloed itself. */
function inSoloedBus({ busId }: Channel, { channels, buses }: SessionDocument): boolean {
  const bus = buses.find(({ id }) => id === busId);
  return bus?.solo === true && !channels.some((one) => one.solo && one.busId === busId);
}

function ids(list: readonly { readonly id: string }[]): string[] {
  return list.map(({ id }) => id);
}
