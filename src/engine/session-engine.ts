import type { GraphConfig, SessionConfig } from './config.ts';
import { EMPTY_RACK } from './config.ts';
import { EngineContext } from './engine-context.ts';
import type { Kernels } from './kernels.ts';
import type { LevelPoint } from './level-taps.ts';
import { LevelTaps, levelTapIndex } from './level-taps.ts';
import { RACK_LATENCY } from './oversampling.ts';
import type { RackProcessor } from './rack-processor.ts';
import { MAX_FRAMES } from './rack-processor.ts';
import { Ramp } from './ramp.ts';

/** Length of the switch between the sides, seconds; linear, because the sides are aligned and correlated. */
export const FADE_SECONDS = 0.008;

/** Frames from input to output: channel, bus and mix racks. */
export const SESSION_LATENCY = 3 * RACK_LATENCY;

const GLIDE_SECONDS = 0.03;
/** Of the common headroom: slow enough to be heard as turning down, not as a step. */
const HEADROOM_SECONDS = 0.25;
const FRAME_BYTES = 8;

/** A point both sides are listened in at: the output of a channel's, a bus's or the mix's rack. */
export type TapPoint = 'channel' | 'bus' | 'mix';

/** What the output plays: one side, or what the stages added (B less the best-fitting gain of A). */
export type Listen = 'a' | 'b' | 'added';

export interface EngineOptions {
  readonly sampleRate: number;
  readonly factor: 4 | 8;
  readonly alignmentDbfs: number;
  readonly maxChannels: number;
  readonly maxBuses: number;
  /** Measures levels at every rack's input and output on both sides; what only renders leaves it off. */
  readonly levels?: boolean;
}

/** A strip: rack, then the gains that put it into the next sum. */
class Strip {
  readonly left = new Ramp(0);
  readonly right = new Ramp(0);
  readonly solo = new Ramp(0);
  bus = -1;

  constructor(
    readonly rack: RackProcessor,
    readonly buffer: number,
    /** Delay line for channels that skip the bus, so that all paths are equally long. */
    readonly direct: number,
  ) {}
}

class Graph {
  channelCount = 0;
  busCount = 0;
  readonly output = new Ramp(1);
  /** 0 to 1: the output is what is soloed instead of the mix. */
  readonly soloing = new Ramp(0);

  constructor(
    readonly channels: readonly Strip[],
    readonly buses: readonly Strip[],
    readonly mix: RackProcessor,
    readonly mixBuffer: number,
    /** Sums of what is soloed, and the delays that align them with the mix. */
    readonly soloed: Readonly<Record<'channels' | 'buses', { readonly buffer: number; readonly delay: number }>>,
  ) {}
}

/**
 * The whole session as numbers: blocks of channel input in, blocks of stereo output out. Two complete graphs run side
 * by side, and one linear fade at the output chooses between them, so one value switches every stage of every rack.
 * The same class runs in the audio worklet, in the worker and in Node.
 *
 * `process` neither allocates nor throws; inputs are scrubbed of NaN and infinity.
 */
export class SessionEngine {
  readonly context: EngineContext;
  /** Live levels, where asked for. */
  readonly levels: LevelTaps | null;
  private readonly sides: readonly [Graph, Graph];
  private readonly input: number;
  private readonly output: number;
  private readonly tapped: readonly [number, number];
  private tapPoint: TapPoint = 'mix';
  private tapIndex = 0;
  private readonly planar: readonly [number, number];
  private readonly planarViews: readonly Float32Array[];
  private readonly fadeA = { from: 1, to: 1 };
  private readonly fadeB = { from: 0, to: 0 };
  private fadePosition = 1;
  private fadeLength = 1;
  private listening: Listen = 'a';
  private readonly headroom = new Ramp(1);

  constructor(
    private readonly kernels: Kernels,
    readonly options: EngineOptions,
  ) {
    this.context = new EngineContext(kernels, options.sampleRate, options.factor, options.alignmentDbfs);
    const { heap } = this.context;
    const buffer = () => heap.allocate((MAX_FRAMES + 4) * FRAME_BYTES);
    const strip = () =>
      new Strip(this.context.createRack(EMPTY_RACK), buffer(), heap.allocate(RACK_LATENCY * FRAME_BYTES));
    const graph = () =>
      new Graph(
        Array.from({ length: options.maxChannels }, strip),
        Array.from({ length: options.maxBuses }, strip),
        this.context.createRack(EMPTY_RACK),
        buffer(),
        {
          channels: { buffer: buffer(), delay: heap.allocate(2 * RACK_LATENCY * FRAME_BYTES) },
          buses: { buffer: buffer(), delay: heap.allocate(RACK_LATENCY * FRAME_BYTES) },
        },
      );
    this.sides = [graph(), graph()];
    this.input = buffer();
    this.output = buffer();
    this.tapped = [buffer(), buffer()];
    this.planar = [heap.allocate((MAX_FRAMES + 4) * 4), heap.allocate((MAX_FRAMES + 4) * 4)];
    this.levels = options.levels ? new LevelTaps(options.sampleRate, options.maxChannels, options.maxBuses) : null;
    // Views are made once all memory is taken; it doesn't grow again.
    this.planarViews = this.planar.map((address) => heap.f32.subarray(address >> 2, (address >> 2) + MAX_FRAMES));
  }

  /** Starts anew with this configuration, with cleared memory. */
  reset(config: SessionConfig): void {
    this.configure(config, true);
  }

  /** Moves to another configuration while sound goes on. */
  update(config: SessionConfig): void {
    this.configure(config, false);
  }

  private configure(config: SessionConfig, fresh: boolean): void {
    this.context.alignmentDbfs = config.alignmentDbfs;
    this.configureGraph(this.sides[0], config.a, fresh);
    this.configureGraph(this.sides[1], config.b, fresh);
    const { headroom = 1 } = config;
    if (fresh) this.headroom.jump(headroom);
    else this.headroom.start(headroom, Math.round(HEADROOM_SECONDS * this.options.sampleRate));
  }

  private configureGraph(graph: Graph, config: GraphConfig, fresh: boolean): void {
    const { maxChannels, maxBuses, sampleRate } = this.options;
    if (config.channels.length > maxChannels || config.buses.length > maxBuses) {
      throw new Error(`The engine was made for ${maxChannels} channels and ${maxBuses} buses.`);
    }
    const glide = Math.round(GLIDE_SECONDS * sampleRate);
    const gains = (strip: Strip, left: number, right: number, jump: boolean) => {
      if (jump) {
        strip.left.jump(left);
        strip.right.jump(right);
      } else {
        strip.left.start(left, glide);
        strip.right.start(right, glide);
      }
    };
    const solo = (strip: Strip, on: boolean, jump: boolean) => {
      if (jump) strip.solo.jump(on ? 1 : 0);
      else strip.solo.start(on ? 1 : 0, Math.round(FADE_SECONDS * sampleRate));
    };
    config.channels.forEach((channel, index) => {
      const strip = graph.channels[index];
      const isNew = fresh || index >= graph.channelCount;
      if (isNew) strip.rack.reset(channel.rack);
      else strip.rack.set(channel.rack);
      if (isNew || strip.bus !== channel.bus) this.context.heap.clear(strip.direct, RACK_LATENCY * FRAME_BYTES);
      strip.bus = channel.bus;
      // Balance law: the side turned away from falls by a cosine, the other stays; the centre is unity.
      const away = (position: number) => Math.cos((Math.PI / 2) * Math.max(0, position));
      gains(strip, channel.gain * away(channel.pan), channel.gain * away(-channel.pan), isNew);
      solo(strip, channel.solo === true, isNew);
    });
    config.buses.forEach((bus, index) => {
      const strip = graph.buses[index];
      const isNew = fresh || index >= graph.busCount;
      if (isNew) strip.rack.reset(bus.rack);
      else strip.rack.set(bus.rack);
      gains(strip, bus.gain, bus.gain, isNew);
      solo(strip, bus.solo === true, isNew);
    });
    const soloing = [...config.channels, ...config.buses].some((strip) => strip.solo);
    // The delays of what is soloed only run while something is, so they start empty.
    if (fresh || !isAbove(graph.soloing)) this.clearSoloed(graph);
    if (fresh) graph.soloing.jump(soloing ? 1 : 0);
    else graph.soloing.start(soloing ? 1 : 0, Math.round(FADE_SECONDS * sampleRate));
    if (fresh) {
      graph.mix.reset(config.mix);
      graph.output.jump(config.outputGain);
    } else {
      graph.mix.set(config.mix);
      graph.output.start(config.outputGain, Math.round(0.05 * sampleRate));
    }
    graph.channelCount = config.channels.length;
    graph.busCount = config.buses.length;
  }

  /** Only the match gain of one rack of side B, which glides: what a new match is heard by. */
  setMatch(point: TapPoint, index: number, gain: number): void {
    const graph = this.sides[1];
    if (point === 'mix') graph.mix.setMatch(gain);
    else (point === 'bus' ? graph.buses : graph.channels)[index]?.rack.setMatch(gain);
  }

  /**
   * Chooses what is heard: one linear fade of FADE_SECONDS from wherever the output is.
   * @param addedGain for `added`: the gain of A that leaves the least of B
   */
  listen(to: Listen, addedGain = 1): void {
    this.listening = to;
    const t = this.fadePosition / this.fadeLength;
    this.fadeA.from += (this.fadeA.to - this.fadeA.from) * t;
    this.fadeB.from += (this.fadeB.to - this.fadeB.from) * t;
    this.fadeA.to = to === 'a' ? 1 : to === 'b' ? 0 : -addedGain;
    this.fadeB.to = to === 'a' ? 0 : 1;
    this.fadePosition = 0;
    this.fadeLength = Math.max(1, Math.round(FADE_SECONDS * this.options.sampleRate));
  }

  /** Ends a fade at once: what an offline render starts with. */
  listenNow(to: Listen, addedGain = 1): void {
    this.listen(to, addedGain);
    this.fadePosition = this.fadeLength;
  }

  /** Chooses what `readTap` gives. */
  tap(point: TapPoint, index = 0): void {
    this.tapPoint = point;
    this.tapIndex = index;
  }

  /** The tapped rack's output in the last block of up to MAX_FRAMES: side 0 is A, 1 is B. */
  readTap(side: 0 | 1, planes: readonly Float32Array[], offset: number, frames: number): void {
    this.store(this.tapped[side], planes, offset, frames);
  }

  /** A side of the switch in the last block of up to MAX_FRAMES, lowered by the common headroom: what the fade takes. */
  readSide(side: 0 | 1, planes: readonly Float32Array[], offset: number, frames: number): void {
    this.store(this.sides[side].mixBuffer, planes, offset, frames);
  }

  get side(): Listen {
    return this.listening;
  }

  /**
   * Processes `frames` frames from `offset`. `inputs[channel]` has one (mono) or two planes, or none for silence.
   * Writes both planes of `output`; the caller ends each block of live levels by `levels.advance`. Further targets for side A and B are written when given.
   */
  process(
    inputs: readonly (readonly Float32Array[])[],
    output: readonly Float32Array[],
    frames: number,
    offset = 0,
    sideA?: readonly Float32Array[],
    sideB?: readonly Float32Array[],
  ): void {
    for (let done = 0; done < frames; done += MAX_FRAMES) {
      const span = Math.min(MAX_FRAMES, frames - done);
      this.block(inputs, output, offset + done, span, sideA, sideB);
    }
  }

  private block(
    inputs: readonly (readonly Float32Array[])[],
    output: readonly Float32Array[],
    offset: number,
    frames: number,
    sideA: readonly Float32Array[] | undefined,
    sideB: readonly Float32Array[] | undefined,
  ): void {
    const [a, b] = this.sides;
    const bytes = frames * FRAME_BYTES;
    this.clearSums(a, bytes);
    this.clearSums(b, bytes);
    const count = Math.max(a.channelCount, b.channelCount);
    for (let channel = 0; channel < count; channel++) {
      this.load(inputs[channel], offset, frames);
      if (channel < a.channelCount) this.channel(a, channel, frames);
      if (channel < b.channelCount) this.channel(b, channel, frames);
    }
    this.finish(a, frames);
    this.finish(b, frames);
    this.lower(frames);
    const t0 = this.fadePosition / this.fadeLength;
    this.fadePosition = Math.min(this.fadeLength, this.fadePosition + frames);
    this.fadeOut(a, b, t0, frames);
    this.store(this.output, output, offset, frames);
    if (sideA) this.store(a.mixBuffer, sideA, offset, frames);
    if (sideB) this.store(b.mixBuffer, sideB, offset, frames);
  }

  /** Common headroom: the same gain on both sides, so that what is heard of one against the other stays as it is. */
  private lower(frames: number): void {
    const g0 = this.headroom.at(0);
    this.headroom.advance(frames);
    const g1 = this.headroom.at(0);
    if (g0 === 1 && g1 === 1) return;
    for (const { mixBuffer } of this.sides) this.kernels.combine(mixBuffer, 0, frames, g0, g1, 0, 0, 1, 1);
  }

  /** The output fade. It may end within the block, so that part is done on its own. */
  private fadeOut(a: Graph, b: Graph, t0: number, frames: number): void {
    const { kernels, fadeA, fadeB } = this;
    const left = Math.round((1 - t0) * this.fadeLength);
    const moving = Math.min(frames, left);
    const t1 = t0 + moving / this.fadeLength;
    if (moving > 0) {
      // biome-ignore format: pairs of start and end
      kernels.fadeSides(this.output, a.mixBuffer, b.mixBuffer, moving, along(fadeA, t0), along(fadeA, t1), along(fadeB, t0), along(fadeB, t1));
    }
    if (moving < frames) {
      const skip = moving * FRAME_BYTES;
      // biome-ignore format: pairs of start and end
      kernels.fadeSides(this.output + skip, a.mixBuffer + skip, b.mixBuffer + skip, frames - moving, fadeA.to, fadeA.to, fadeB.to, fadeB.to);
    }
  }

  private clearSoloed(graph: Graph): void {
    const { channels, buses } = graph.soloed;
    this.context.heap.clear(channels.delay, 2 * RACK_LATENCY * FRAME_BYTES);
    this.context.heap.clear(buses.delay, RACK_LATENCY * FRAME_BYTES);
  }

  private clearSums(graph: Graph, bytes: number): void {
    const { heap } = this.context;
    if (isAbove(graph.soloing)) {
      heap.clear(graph.soloed.channels.buffer, bytes);
      heap.clear(graph.soloed.buses.buffer, bytes);
    }
    for (let bus = 0; bus < graph.busCount; bus++) heap.clear(graph.buses[bus].buffer, bytes);
    heap.clear(graph.mixBuffer, bytes);
  }

  private channel(graph: Graph, index: number, frames: number): void {
    const { kernels } = this;
    const strip = graph.channels[index];
    // Each side works on its own copy of the input.
    kernels.copy(strip.buffer, this.input, frames);
    strip.rack.process(strip.buffer, frames);
    this.keepTap(graph, 'channel', index, strip.buffer, frames);
    this.measure(graph, 'channel', index, 'coloured', strip.buffer, frames);
    this.addSoloed(graph, graph.soloed.channels.buffer, strip, frames);
    let target = graph.mixBuffer;
    if (strip.bus >= 0 && strip.bus < graph.busCount) target = graph.buses[strip.bus].buffer;
    else kernels.delay(strip.buffer, frames, RACK_LATENCY, strip.direct);
    this.mix(target, strip, frames);
  }

  private finish(graph: Graph, frames: number): void {
    for (let bus = 0; bus < graph.busCount; bus++) {
      const strip = graph.buses[bus];
      if (graph === this.sides[1]) this.measure(graph, 'bus', bus, 'input', strip.buffer, frames);
      strip.rack.process(strip.buffer, frames);
      this.keepTap(graph, 'bus', bus, strip.buffer, frames);
      this.measure(graph, 'bus', bus, 'coloured', strip.buffer, frames);
      this.addSoloed(graph, graph.soloed.buses.buffer, strip, frames);
      this.mix(graph.mixBuffer, strip, frames);
    }
    if (graph === this.sides[1]) this.measure(graph, 'mix', 0, 'input', graph.mixBuffer, frames);
    graph.mix.process(graph.mixBuffer, frames);
    const g0 = graph.output.at(0);
    graph.output.advance(frames);
    const g1 = graph.output.at(0);
    if (g0 !== 1 || g1 !== 1) this.kernels.combine(graph.mixBuffer, 0, frames, g0, g1, 0, 0, 1, 1);
    this.keepTap(graph, 'mix', 0, graph.mixBuffer, frames);
    this.measure(graph, 'mix', 0, 'coloured', graph.mixBuffer, frames);
    this.playSoloed(graph, frames);
  }

  /** Adds a soloed strip to what is heard instead of the mix; call it before the strip's own gains move on. */
  private addSoloed(graph: Graph, target: number, strip: Strip, frames: number): void {
    if (!isAbove(graph.soloing)) return;
    const s0 = strip.solo.at(0);
    strip.solo.advance(frames);
    const s1 = strip.solo.at(0);
    if (s0 === 0 && s1 === 0) return;
    const { left, right } = strip;
    // biome-ignore format: pairs of start and end
    this.kernels.mixInto(target, strip.buffer, frames, s0 * left.at(0), s1 * left.at(frames), s0 * right.at(0), s1 * right.at(frames));
  }

  /**
   * Puts what is soloed in the mix's place. It is taken before the buses and the mix, whose racks go on being driven by
   * everything, and delayed so that all of it is aligned with the mix.
   */
  private playSoloed(graph: Graph, frames: number): void {
    if (!isAbove(graph.soloing)) return;
    const { kernels } = this;
    const { channels, buses } = graph.soloed;
    const s0 = graph.soloing.at(0);
    graph.soloing.advance(frames);
    const s1 = graph.soloing.at(0);
    kernels.delay(channels.buffer, frames, 2 * RACK_LATENCY, channels.delay);
    kernels.delay(buses.buffer, frames, RACK_LATENCY, buses.delay);
    kernels.mixInto(buses.buffer, channels.buffer, frames, 1, 1, 1, 1);
    // biome-ignore format: pairs of start and end
    kernels.fadeSides(graph.mixBuffer, graph.mixBuffer, buses.buffer, frames, 1 - s0, 1 - s1, s0, s1);
  }

  /** Feeds the levels of one point; side A's output counts as `clean`. */
  private measure(
    graph: Graph,
    place: TapPoint,
    index: number,
    point: LevelPoint,
    buffer: number,
    frames: number,
  ): void {
    const { levels } = this;
    if (!levels) return;
    const [left, right] = this.planar;
    this.kernels.deinterleave(buffer, left, right, frames);
    const side = graph === this.sides[0] ? 'clean' : point;
    levels.feed(levelTapIndex(place, index, side, levels.maxChannels, levels.maxBuses), this.planarViews, frames);
  }

  private keepTap(graph: Graph, point: TapPoint, index: number, buffer: number, frames: number): void {
    if (point !== this.tapPoint || index !== this.tapIndex) return;
    this.kernels.copy(this.tapped[graph === this.sides[0] ? 0 : 1], buffer, frames);
  }

  private mix(target: number, strip: Strip, frames: number): void {
    const left0 = strip.left.at(0);
    const right0 = strip.right.at(0);
    strip.left.advance(frames);
    strip.right.advance(frames);
    this.kernels.mixInto(target, strip.buffer, frames, left0, strip.left.at(0), right0, strip.right.at(0));
  }

  private load(planes: readonly Float32Array[] | undefined, offset: number, frames: number): void {
    const { f32 } = this.context.heap;
    const [left, right] = this.planar;
    if (!planes || planes.length === 0) {
      this.context.heap.clear(this.input, frames * FRAME_BYTES);
      return;
    }
    copyInto(f32, left >> 2, planes[0], offset, frames);
    if (planes.length > 1) copyInto(f32, right >> 2, planes[1], offset, frames);
    this.kernels.interleave(left, planes.length > 1 ? right : left, this.input, frames);
  }

  private store(source: number, planes: readonly Float32Array[], offset: number, frames: number): void {
    const { f32 } = this.context.heap;
    const [left, right] = this.planar;
    this.kernels.deinterleave(source, left, right, frames);
    copyOut(f32, left >> 2, planes[0], offset, frames);
    if (planes.length > 1) copyOut(f32, right >> 2, planes[1], offset, frames);
  }
}

function isAbove(ramp: Ramp): boolean {
  return ramp.moving || ramp.target > 0;
}

function along(fade: { readonly from: number; readonly to: number }, t: number): number {
  return t >= 1 ? fade.to : fade.from + (fade.to - fade.from) * t;
}

// Loops, not `set(subarray)`, which would allocate a view on the audio thread at every block.
function copyInto(heap: Float32Array, at: number, source: Float32Array, offset: number, frames: number): void {
  const available = Math.min(frames, Math.max(0, source.length - offset));
  for (let i = 0; i < available; i++) heap[at + i] = source[offset + i];
  for (let i = available; i < frames; i++) heap[at + i] = 0;
}

function copyOut(heap: Float32Array, at: number, target: Float32Array, offset: number, frames: number): void {
  for (let i = 0; i < frames; i++) target[offset + i] = heap[at + i];
}
