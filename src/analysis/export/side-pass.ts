import type { ChannelConfig, GraphConfig } from '../../engine/config.ts';
import type { EngineContext } from '../../engine/engine-context.ts';
import { RACK_LATENCY } from '../../engine/oversampling.ts';
import type { RackProcessor } from '../../engine/rack-processor.ts';
import { MAX_FRAMES } from '../../engine/rack-processor.ts';
import { panGains } from '../session-graph.ts';

const FRAME_BYTES = 8;

/** A place in the path whose sound can be taken: after a strip's rack, match and gains, or the output of the mix. */
export type TapPlace = 'channel' | 'bus' | 'mix';

/** Frames by which the sound at a place lags behind the sources. */
export const TAP_LATENCY: Readonly<Record<TapPlace, number>> = {
  channel: RACK_LATENCY,
  bus: 2 * RACK_LATENCY,
  mix: 3 * RACK_LATENCY,
};

/** What of a side is to be computed; indices of the session's channels and buses. */
export interface Wanted {
  readonly channels: ReadonlySet<number>;
  readonly buses: ReadonlySet<number>;
  readonly mix: boolean;
}

interface Strip {
  readonly rack: RackProcessor;
  /** The rack's work. */
  readonly buffer: number;
  /** After gain and pan: what goes into the next sum. */
  readonly out: number;
  readonly left: number;
  readonly right: number;
}

interface ChannelStrip extends Strip {
  readonly bus: number;
  /** Delay line of a channel that skips the buses. */
  readonly direct: number;
}

/**
 * One side of a session, block by block, with a tap behind every strip.
 *
 * It does what `SessionEngine` does with one of its graphs, by the same kernels in the same order, with gains that
 * stand still: every product is rounded to single precision by itself (a strip's print is 0 + gain·x) and then added
 * with a gain of 1, so what it gives is the engine's output bit for bit, and prints add up to the sum they go into.
 * What isn't wanted isn't computed.
 */
export class SidePass {
  private readonly channels: (ChannelStrip | null)[];
  private readonly buses: (Strip | null)[];
  private readonly mix: RackProcessor | null;
  private readonly mixBuffer: number;
  private readonly outputGain: number;

  constructor(
    private readonly context: EngineContext,
    config: GraphConfig,
    wanted: Wanted,
  ) {
    const { heap } = context;
    const buffer = () => heap.allocate((MAX_FRAMES + 4) * FRAME_BYTES);
    const busWanted = (index: number) => wanted.mix || wanted.buses.has(index);
    const isRouted = ({ bus }: ChannelConfig) => bus >= 0 && bus < config.buses.length;
    this.channels = config.channels.map((channel, index) => {
      const routed = isRouted(channel);
      const needed = wanted.mix || wanted.channels.has(index) || (routed && busWanted(channel.bus));
      if (!needed) return null;
      const [left, right] = panGains(channel.gain, channel.pan);
      return {
        rack: context.createRack(channel.rack),
        buffer: buffer(),
        out: buffer(),
        left,
        right,
        bus: routed ? channel.bus : -1,
        direct: heap.allocate(RACK_LATENCY * FRAME_BYTES),
      };
    });
    this.buses = config.buses.map(({ rack, gain }, index) =>
      busWanted(index)
        ? { rack: context.createRack(rack), buffer: buffer(), out: buffer(), left: gain, right: gain }
        : null,
    );
    this.mix = wanted.mix ? context.createRack(config.mix) : null;
    this.mixBuffer = buffer();
    this.outputGain = config.outputGain;
  }

  /** True where this side works on that channel's sound. */
  needsChannel(index: number): boolean {
    return this.channels[index] !== null;
  }

  /** Before the channels of one block of up to MAX_FRAMES frames. */
  begin(frames: number): void {
    const { heap } = this.context;
    const bytes = frames * FRAME_BYTES;
    for (const bus of this.buses) if (bus) heap.clear(bus.buffer, bytes);
    if (this.mix) heap.clear(this.mixBuffer, bytes);
  }

  /** One channel of the block; `input` is the address of its interleaved sound. Call it in the session's order. */
  channel(index: number, input: number, frames: number): void {
    const strip = this.channels[index];
    if (!strip) return;
    const { kernels } = this.context;
    kernels.copy(strip.buffer, input, frames);
    this.print(strip, frames);
    const bus = strip.bus >= 0 ? this.buses[strip.bus] : null;
    if (bus) this.add(bus.buffer, strip.out, frames);
    else if (strip.bus < 0 && this.mix) {
      // The rack's buffer is free again; the print itself must stay.
      kernels.copy(strip.buffer, strip.out, frames);
      kernels.delay(strip.buffer, frames, RACK_LATENCY, strip.direct);
      this.add(this.mixBuffer, strip.buffer, frames);
    }
  }

  /** After the channels: buses and mix. */
  finish(frames: number): void {
    const { kernels } = this.context;
    for (const bus of this.buses) {
      if (!bus) continue;
      this.print(bus, frames);
      if (this.mix) this.add(this.mixBuffer, bus.out, frames);
    }
    if (!this.mix) return;
    this.mix.process(this.mixBuffer, frames);
    const gain = this.outputGain;
    if (gain !== 1) kernels.combine(this.mixBuffer, 0, frames, gain, gain, 0, 0, 1, 1);
  }

  /** Address of the last block's interleaved sound at a place. @throws Error for one that isn't computed */
  tap(place: TapPlace, index: number): number {
    const strip = place === 'channel' ? this.channels[index] : place === 'bus' ? this.buses[index] : null;
    if (place === 'mix' ? !this.mix : !strip) throw new Error(`The ${place} ${index} is not computed in this pass.`);
    return strip ? strip.out : this.mixBuffer;
  }

  private print(strip: Strip, frames: number): void {
    const { kernels, heap } = this.context;
    strip.rack.process(strip.buffer, frames);
    heap.clear(strip.out, frames * FRAME_BYTES);
    kernels.mixInto(strip.out, strip.buffer, frames, strip.left, strip.left, strip.right, strip.right);
  }

  private add(target: number, source: number, frames: number): void {
    this.context.kernels.mixInto(target, source, frames, 1, 1, 1, 1);
  }
}
