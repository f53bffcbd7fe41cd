import {
  type Bus,
  type Channel,
  MIX_ID,
  type Rack,
  type RackId,
  type SessionDocument,
} from '../../session/document.ts';

/** One row of the signal path. */
export interface PathRow {
  readonly id: RackId;
  readonly name: string;
  readonly kind: 'channel' | 'bus' | 'mix';
  readonly inBus: boolean;
  readonly rack: Rack;
  /** What gain, mute and solo act on; the mix has none of them. */
  readonly strip: Channel | Bus | null;
}

/** The racks in the order sound takes them: buses with their channels, channels straight into the mix, the mix. */
export function places({ channels, buses, mix }: SessionDocument): PathRow[] {
  const channel = (busId: string | null) =>
    channels
      .filter((entry) => entry.busId === busId)
      .map((strip): PathRow => ({ ...shown(strip), kind: 'channel', inBus: busId !== null }));
  return [
    ...buses.flatMap((bus): PathRow[] => [{ ...shown(bus), kind: 'bus', inBus: false }, ...channel(bus.id)]),
    ...channel(null),
    { id: MIX_ID, name: 'Mix', kind: 'mix', inBus: false, rack: mix.rack, strip: null },
  ];
}

function shown(strip: Channel | Bus): Pick<PathRow, 'id' | 'name' | 'rack' | 'strip'> {
  const { id, name, rack } = strip;
  return { id, name, rack, strip };
}
