import { EMPTY_RACK } from './config.ts';
import type { EngineContext } from './engine-context.ts';
import type { GraphPlan, Place, StripPlan } from './graph-plan.ts';
import { PLACE_LATENCY } from './graph-plan.ts';
import { RACK_LATENCY } from './oversampling.ts';
import type { RackProcessor } from './rack-processor.ts';
import { MAX_FRAMES } from './rack-processor.ts';
import { Ramp } from './ramp.ts';

/** Length of the switch between the sides and of a solo, seconds; linear, because the sides are aligned and correlated. */
export const FADE_SECONDS = 0.008;
const GLIDE_SECONDS = 0.03;
const OUTPUT_GLIDE_SECONDS = 0.05;
const FRAME_BYTES = 8;

/** Told every strip's sound while a block runs. `buffer` is the address of interleaved frames, to be read only. */
export interface GraphListener {
  /** What goes into a bus or the mix. */
  input(place: Place, index: number, buffer: number, frames: number): void;
  /** What a channel's or bus's rack gives, before the strip's gains; of the mix: the side's output. */
  output(place: Place, index: number, buffer: number, frames: number): void;
}

/** How many strips there is room for. */
export interface GraphCapacity {
  readonly channels: number;
  readonly buses: number;
}

/** A strip: rack, then the gains that put it into the next sum. */
class Strip {
  readonly left = new Ramp(0);
  readonly right = new Ramp(0);
  readonly solo = new Ramp(0);
  /** The strip whose sum it goes into. */
  target: Strip | null = null;
  wait = 0;
  /** False where nothing that is asked for hangs on it. */
  isNeeded = true;

  constructor(
    readonly place: Place,
    readonly index: number,
    readonly rack: RackProcessor,
    /** The sum that goes into the rack, then the rack's work. */
    readonly buffer: number,
    /** Delay line of a channel that skips the buses, so that all paths are equally long. */
    readonly delayLine: number,
  ) {}
}

/**
 * One side of a session, block by block: it walks the plan of the graph with the kernels. Gains glide, racks change
 * without clicks. The live engine runs two of them with everything in them, an export those parts that it was asked for.
 *
 * `begin`, `channel` for every channel in the session's order, then `finish`; none of them allocates or throws.
 */
export class GraphPass {
  private readonly channels: readonly Strip[];
  private readonly buses: readonly Strip[];
  private readonly mix: Strip;
  private channelCount = 0;
  private busCount = 0;
  /** 0 to 1: the output is what is soloed instead of the mix. */
  private readonly soloing = new Ramp(0);
  /** Sums of what is soloed, and the delays that align them with the mix. */
  private readonly soloed: Readonly<
    Record<'channels' | 'buses', { readonly buffer: number; readonly delayLine: number }>
  >;

  constructor(
    private readonly context: EngineContext,
    private readonly capacity: GraphCapacity,
    private readonly listener: GraphListener,
  ) {
    const { heap } = context;
    const buffer = () => heap.allocate((MAX_FRAMES + 4) * FRAME_BYTES);
    const line = (racks: number) => heap.allocate(racks * RACK_LATENCY * FRAME_BYTES);
    const strip = (place: Place) => (_: unknown, index: number) =>
      new Strip(place, index, context.createRack(EMPTY_RACK), buffer(), place === 'channel' ? line(1) : 0);
    this.channels = Array.from({ length: capacity.channels }, strip('channel'));
    this.buses = Array.from({ length: capacity.buses }, strip('bus'));
    this.mix = strip('mix')(null, 0);
    this.soloed = {
      channels: { buffer: buffer(), delayLine: line(2) },
      buses: { buffer: buffer(), delayLine: line(1) },
    };
  }

  /** Address of the side's output of the last block, interleaved. */
  get output(): number {
    return this.mix.buffer;
  }

  /** Channels in the plan. */
  get count(): number {
    return this.channelCount;
  }

  /** True where that channel's sound is worked on. */
  needsChannel(index: number): boolean {
    return index < this.channelCount && this.channels[index].isNeeded;
  }

  rackAt(place: Place, index: number): RackProcessor | undefined {
    return this.stripOf(place, index)?.rack;
  }

  /**
   * Takes a plan.
   * @param isFresh start with cleared memory and without glides
   * @param needed which of the plan's strips to compute, by position; left out, all
   * @throws Error where it has more strips than there is room for
   */
  follow(plan: GraphPlan, isFresh: boolean, needed?: readonly boolean[]): void {
    const { channels, buses } = this.capacity;
    if (plan.channels > channels || plan.buses > buses) {
      throw new Error(`The engine was made for ${channels} channels and ${buses} buses.`);
    }
    plan.strips.forEach((planned, position) => {
      const strip = this.stripOf(planned.place, planned.index) as Strip;
      const { place, index } = planned;
      const known = place === 'mix' || index < (place === 'channel' ? this.channelCount : this.busCount);
      strip.isNeeded = needed?.[position] ?? true;
      this.configure(strip, planned, isFresh || !known);
      const into = planned.into < 0 ? null : plan.strips[planned.into];
      strip.target = into && (this.stripOf(into.place, into.index) as Strip);
    });
    const fade = this.frames(FADE_SECONDS);
    // The delays of what is soloed only run while something is, so they start empty.
    if (isFresh || !isAbove(this.soloing)) this.clearSoloed();
    if (isFresh) this.soloing.jump(plan.soloing ? 1 : 0);
    else this.soloing.start(plan.soloing ? 1 : 0, fade);
    this.channelCount = plan.channels;
    this.busCount = plan.buses;
  }

  private configure(strip: Strip, { rack, left, right, wait, solo }: StripPlan, isNew: boolean): void {
    if (isNew) strip.rack.reset(rack);
    else strip.rack.set(rack);
    if (isNew || strip.wait !== wait) this.context.heap.clear(strip.delayLine, wait * FRAME_BYTES);
    strip.wait = wait;
    const glide = this.frames(strip.place === 'mix' ? OUTPUT_GLIDE_SECONDS : GLIDE_SECONDS);
    move(strip.left, left, isNew, glide);
    move(strip.right, right, isNew, glide);
    move(strip.solo, solo ? 1 : 0, isNew, this.frames(FADE_SECONDS));
  }

  /** Before the channels of one block of up to MAX_FRAMES frames. */
  begin(frames: number): void {
    const { heap } = this.context;
    const bytes = frames * FRAME_BYTES;
    if (isAbove(this.soloing)) {
      heap.clear(this.soloed.channels.buffer, bytes);
      heap.clear(this.soloed.buses.buffer, bytes);
    }
    for (let bus = 0; bus < this.busCount; bus++) heap.clear(this.buses[bus].buffer, bytes);
    heap.clear(this.mix.buffer, bytes);
  }

  /** One channel of the block; `input` is the address of its interleaved sound, which stays as it is. */
  channel(index: number, input: number, frames: number): void {
    if (!this.needsChannel(index)) return;
    const strip = this.channels[index];
    this.context.kernels.copy(strip.buffer, input, frames);
    this.run(strip, this.soloed.channels.buffer, frames);
  }

  /** After the channels: buses and mix. */
  finish(frames: number): void {
    const { mix } = this;
    for (let bus = 0; bus < this.busCount; bus++) {
      const strip = this.buses[bus];
      if (!strip.isNeeded) continue;
      this.listener.input('bus', bus, strip.buffer, frames);
      this.run(strip, this.soloed.buses.buffer, frames);
    }
    if (!mix.isNeeded) return;
    this.listener.input('mix', 0, mix.buffer, frames);
    mix.rack.process(mix.buffer, frames);
    const gain0 = mix.left.at(0);
    mix.left.advance(frames);
    const gain1 = mix.left.at(0);
    if (gain0 !== 1 || gain1 !== 1) this.context.kernels.combine(mix.buffer, 0, frames, gain0, gain1, 0, 0, 1, 1);
    this.listener.output('mix', 0, mix.buffer, frames);
    this.playSoloed(frames);
  }

  /** A channel or bus: its rack, then into its sum. */
  private run(strip: Strip, soloed: number, frames: number): void {
    const { kernels } = this.context;
    const { buffer, left, right, target } = strip;
    strip.rack.process(buffer, frames);
    this.listener.output(strip.place, strip.index, buffer, frames);
    this.addSoloed(soloed, strip, frames);
    const left0 = left.at(0);
    const right0 = right.at(0);
    left.advance(frames);
    right.advance(frames);
    if (!target?.isNeeded) return;
    kernels.delay(buffer, frames, strip.wait, strip.delayLine);
    kernels.mixInto(target.buffer, buffer, frames, left0, left.at(0), right0, right.at(0));
  }

  /** Adds a soloed strip to what is heard instead of the mix; call it before the strip's own gains move on. */
  private addSoloed(target: number, strip: Strip, frames: number): void {
    if (!isAbove(this.soloing)) return;
    const s0 = strip.solo.at(0);
    strip.solo.advance(frames);
    const s1 = strip.solo.at(0);
    if (s0 === 0 && s1 === 0) return;
    const { left, right } = strip;
    // biome-ignore format: pairs of start and end
    this.context.kernels.mixInto(target, strip.buffer, frames, s0 * left.at(0), s1 * left.at(frames), s0 * right.at(0), s1 * right.at(frames));
  }

  /**
   * Puts what is soloed in the mix's place. It is taken before the buses and the mix, whose racks go on being driven by
   * everything, and delayed so that all of it is aligned with the mix.
   */
  private playSoloed(frames: number): void {
    if (!isAbove(this.soloing)) return;
    const { kernels } = this.context;
    const { channels, buses } = this.soloed;
    const s0 = this.soloing.at(0);
    this.soloing.advance(frames);
    const s1 = this.soloing.at(0);
    kernels.delay(channels.buffer, frames, PLACE_LATENCY.mix - PLACE_LATENCY.channel, channels.delayLine);
    kernels.delay(buses.buffer, frames, PLACE_LATENCY.mix - PLACE_LATENCY.bus, buses.delayLine);
    kernels.mixInto(buses.buffer, channels.buffer, frames, 1, 1, 1, 1);
    kernels.fadeSides(this.mix.buffer, this.mix.buffer, buses.buffer, frames, 1 - s0, 1 - s1, s0, s1);
  }

  private clearSoloed(): void {
    const { channels, buses } = this.soloed;
    this.context.heap.clear(channels.delayLine, 2 * RACK_LATENCY * FRAME_BYTES);
    this.context.heap.clear(buses.delayLine, RACK_LATENCY * FRAME_BYTES);
  }

  private stripOf(place: Place, index: number): Strip | undefined {
    if (place === 'mix') return this.mix;
    return (place === 'channel' ? this.channels : this.buses)[index];
  }

  private frames(seconds: number): number {
    return Math.round(seconds * this.context.sampleRate);
  }
}

function move(ramp: Ramp, target: number, isNew: boolean, frames: number): void {
  if (isNew) ramp.jump(target);
  else ramp.start(target, frames);
}

function isAbove(ramp: Ramp): boolean {
  return ramp.moving || ramp.target > 0;
}
