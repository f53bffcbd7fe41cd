import type { SessionConfig } from './config.ts';
import { EngineContext } from './engine-context.ts';
import type { GraphListener } from './graph-pass.ts';
import { FADE_SECONDS, GraphPass } from './graph-pass.ts';
import type { Place } from './graph-plan.ts';
import { PLACE_LATENCY, planGraph } from './graph-plan.ts';
import type { Kernels } from './kernels.ts';
import type { LevelPoint } from './level-taps.ts';
import { LevelTaps, levelTapIndex } from './level-taps.ts';
import { MAX_FRAMES } from './rack-processor.ts';
import { Ramp } from './ramp.ts';

/** Frames from input to output: channel, bus and mix racks. */
export const SESSION_LATENCY = PLACE_LATENCY.mix;

/** Of the common headroom: slow enough to be heard as turning down, not as a step. */
const HEADROOM_SECONDS = 0.25;
const FRAME_BYTES = 8;

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
  private readonly sides: readonly [GraphPass, GraphPass];
  private readonly input: number;
  private readonly output: number;
  private readonly tapped: readonly [number, number];
  private tapPlace: Place = 'mix';
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
    const capacity = { channels: options.maxChannels, buses: options.maxBuses };
    this.sides = [
      new GraphPass(this.context, capacity, this.listenerOf(0)),
      new GraphPass(this.context, capacity, this.listenerOf(1)),
    ];
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

  private configure(config: SessionConfig, isFresh: boolean): void {
    this.context.alignmentDbfs = config.alignmentDbfs;
    this.sides[0].follow(planGraph(config.a), isFresh);
    this.sides[1].follow(planGraph(config.b), isFresh);
    const { headroom = 1 } = config;
    if (isFresh) this.headroom.jump(headroom);
    else this.headroom.start(headroom, Math.round(HEADROOM_SECONDS * this.options.sampleRate));
  }

  /** Only the match gain of one rack of side B, which glides: what a new match is heard by. */
  setMatch(place: Place, index: number, gain: number): void {
    this.sides[1].rackAt(place, index)?.setMatch(gain);
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
  tap(place: Place, index = 0): void {
    this.tapPlace = place;
    this.tapIndex = index;
  }

  /** The tapped rack's output in the last block of up to MAX_FRAMES: side 0 is A, 1 is B. */
  readTap(side: 0 | 1, planes: readonly Float32Array[], offset: number, frames: number): void {
    this.store(this.tapped[side], planes, offset, frames);
  }

  /** A side of the switch in the last block of up to MAX_FRAMES, lowered by the common headroom: what the fade takes. */
  readSide(side: 0 | 1, planes: readonly Float32Array[], offset: number, frames: number): void {
    this.store(this.sides[side].output, planes, offset, frames);
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
    a.begin(frames);
    b.begin(frames);
    const count = Math.max(a.count, b.count);
    for (let channel = 0; channel < count; channel++) {
      this.load(inputs[channel], offset, frames);
      a.channel(channel, this.input, frames);
      b.channel(channel, this.input, frames);
    }
    a.finish(frames);
    b.finish(frames);
    this.lower(frames);
    const t0 = this.fadePosition / this.fadeLength;
    this.fadePosition = Math.min(this.fadeLength, this.fadePosition + frames);
    this.fadeOut(a.output, b.output, t0, frames);
    this.store(this.output, output, offset, frames);
    if (sideA) this.store(a.output, sideA, offset, frames);
    if (sideB) this.store(b.output, sideB, offset, frames);
  }

  /** Common headroom: the same gain on both sides, so that what is heard of one against the other stays as it is. */
  private lower(frames: number): void {
    const g0 = this.headroom.at(0);
    this.headroom.advance(frames);
    const g1 = this.headroom.at(0);
    if (g0 === 1 && g1 === 1) return;
    for (const { output } of this.sides) this.kernels.combine(output, 0, frames, g0, g1, 0, 0, 1, 1);
  }

  /** The output fade. It may end within the block, so that part is done on its own. */
  private fadeOut(a: number, b: number, t0: number, frames: number): void {
    const { kernels, fadeA, fadeB } = this;
    const left = Math.round((1 - t0) * this.fadeLength);
    const moving = Math.min(frames, left);
    const t1 = t0 + moving / this.fadeLength;
    if (moving > 0) {
      // biome-ignore format: pairs of start and end
      kernels.fadeSides(this.output, a, b, moving, along(fadeA, t0), along(fadeA, t1), along(fadeB, t0), along(fadeB, t1));
    }
    if (moving < frames) {
      const skip = moving * FRAME_BYTES;
      // biome-ignore format: pairs of start and end
      kernels.fadeSides(this.output + skip, a + skip, b + skip, frames - moving, fadeA.to, fadeA.to, fadeB.to, fadeB.to);
    }
  }

  /** Levels and the tap of one side. A channel has no input point of its own: its clean output is its input. */
  private listenerOf(side: 0 | 1): GraphListener {
    const output: LevelPoint = side === 0 ? 'clean' : 'coloured';
    return {
      input: (place, index, buffer, frames) => {
        if (side === 1) this.measure(place, index, 'input', buffer, frames);
      },
      output: (place, index, buffer, frames) => {
        if (place === this.tapPlace && index === this.tapIndex) this.kernels.copy(this.tapped[side], buffer, frames);
        this.measure(place, index, output, buffer, frames);
      },
    };
  }

  private measure(place: Place, index: number, point: LevelPoint, buffer: number, frames: number): void {
    const { levels } = this;
    if (!levels) return;
    const [left, right] = this.planar;
    this.kernels.deinterleave(buffer, left, right, frames);
    levels.feed(levelTapIndex(place, index, point, levels.maxChannels, levels.maxBuses), this.planarViews, frames);
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
