/**
 * The plan of one side of a session, as data: which strips there are, in which order they run, what each adds to which
 * sum, and how long each waits. It is made here and nowhere else; listening, export and analysis walk it.
 */
import type { GraphConfig, RackConfig } from './config.ts';
import { RACK_LATENCY } from './oversampling.ts';

/** Where a strip stands in the signal path. */
export type Place = 'channel' | 'bus' | 'mix';

export interface StripPlan {
  readonly place: Place;
  /** Among the strips of its place, in the session's order; 0 for the mix. */
  readonly index: number;
  readonly rack: RackConfig;
  /** Amplitude ratios of the left and the right side behind the rack: gain and balance; for the mix the last gain. */
  readonly left: number;
  readonly right: number;
  /** Position in `strips` of the strip whose input it is added to; −1 for the mix, which is the output. */
  readonly into: number;
  /** Frames it waits before that sum, so that every path is equally long. */
  readonly wait: number;
  /** Frames by which its rack's output lags behind the sources. */
  readonly latency: number;
  /** Heard alone with others that are soloed, straight from behind its own gains. */
  readonly solo: boolean;
}

export interface GraphPlan {
  /** Channels, buses, mix: a strip comes after all that is added to it. */
  readonly strips: readonly StripPlan[];
  readonly channels: number;
  readonly buses: number;
  /** True where the output is what is soloed instead of the mix. */
  readonly soloing: boolean;
}

/** Frames by which the output of each place's rack lags behind the sources: each rack takes RACK_LATENCY. */
export const PLACE_LATENCY: Readonly<Record<Place, number>> = {
  channel: RACK_LATENCY,
  bus: 2 * RACK_LATENCY,
  mix: 3 * RACK_LATENCY,
};

export function planGraph({ channels, buses, mix, outputGain }: GraphConfig): GraphPlan {
  const mixAt = channels.length + buses.length;
  const isRouted = (bus: number) => bus >= 0 && bus < buses.length;
  const strips: StripPlan[] = [
    ...channels.map(({ bus, gain, pan, solo = false, rack }, index): StripPlan => {
      const [left, right] = balanceGains(gain, pan);
      const into = isRouted(bus) ? channels.length + bus : mixAt;
      const wait = isRouted(bus) ? 0 : PLACE_LATENCY.bus - PLACE_LATENCY.channel;
      return { place: 'channel', index, rack, left, right, into, wait, latency: PLACE_LATENCY.channel, solo };
    }),
    ...buses.map(({ gain, solo = false, rack }, index): StripPlan => {
      const latency = PLACE_LATENCY.bus;
      return { place: 'bus', index, rack, left: gain, right: gain, into: mixAt, wait: 0, latency, solo };
    }),
    {
      place: 'mix',
      index: 0,
      rack: mix,
      left: outputGain,
      right: outputGain,
      into: -1,
      wait: 0,
      latency: PLACE_LATENCY.mix,
      solo: false,
    },
  ];
  return { strips, channels: channels.length, buses: buses.length, soloing: strips.some(({ solo }) => solo) };
}

/** Position of a strip in the plan; −1 where there is none. */
export function stripAt({ channels, buses, strips }: GraphPlan, place: Place, index: number): number {
  if (place === 'mix') return strips.length - 1;
  const count = place === 'channel' ? channels : buses;
  if (index < 0 || index >= count) return -1;
  return place === 'channel' ? index : channels + index;
}

/** Which strips the given ones hang on, themselves included: by position in the plan. */
export function neededFor({ strips }: GraphPlan, wanted: readonly number[]): boolean[] {
  const needed = strips.map((_, position) => wanted.includes(position));
  for (let position = strips.length - 1; position >= 0; position--) {
    const { into } = strips[position];
    if (into >= 0 && needed[into]) needed[position] = true;
  }
  return needed;
}

/**
 * Balance law: the side turned away from falls by a cosine, the other stays; the centre is unity.
 * @param pan −1 (left) to 1 (right)
 */
function balanceGains(gain: number, pan: number): [left: number, right: number] {
  const away = (position: number) => Math.cos((Math.PI / 2) * Math.max(0, position));
  return [gain * away(pan), gain * away(-pan)];
}
