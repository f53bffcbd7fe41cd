import { dbToGain } from '../../dsp/units.ts';
import type { SessionDocument } from '../../session/document.ts';
import { exportSides } from '../export/export-document.ts';
import type { Planes } from '../rack-renderer.ts';
import { panGains } from '../session-graph.ts';

/** A channel's sound and how it stands in the clean mix. */
export interface Stem {
  readonly name: string;
  /** One or two planes from the session's first frame on. */
  readonly planes: Planes;
  /** Gain to the mix's left and right: fader, balance and bus. */
  readonly gains: readonly [left: number, right: number];
  /** It, or its bus, is muted: its gains are those that it would have. */
  readonly muted: boolean;
}

/** Every channel with sound. In the clean mix racks are empty, so a channel is its sound times two gains. */
export function sessionStems(document: SessionDocument, sources: ReadonlyMap<string, Planes>): Stem[] {
  const playing = new Set(exportSides(document).b.channels.map(({ id }) => id));
  return document.channels.flatMap(({ id, name, gainDb, pan, busId }) => {
    const planes = sources.get(id);
    if (!planes?.[0]?.length) return [];
    const bus = document.buses.find((one) => one.id === busId);
    const gain = dbToGain(gainDb) * (bus ? dbToGain(bus.gainDb) : 1);
    return [{ name, planes, gains: panGains(gain, pan / 100), muted: !playing.has(id) }];
  });
}
