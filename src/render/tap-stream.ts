import type { GraphConfig } from '../engine/config.ts';
import { EngineContext } from '../engine/engine-context.ts';
import { GraphPass } from '../engine/graph-pass.ts';
import type { GraphPlan, Place } from '../engine/graph-plan.ts';
import { neededFor, PLACE_LATENCY, planGraph, stripAt } from '../engine/graph-plan.ts';
import { instantiateKernels } from '../engine/kernels.ts';
import { MAX_FRAMES } from '../engine/rack-processor.ts';
import type { Planes } from './rack-renderer.ts';

/** On which side of a strip's fader its sound is taken: after rack and match, or behind gain and balance as well. */
export type FaderPoint = 'before' | 'after';

export interface Tap {
  readonly side: 'a' | 'b';
  readonly place: Place;
  /** Of the channel or bus in the session's order; 0 for the mix. */
  readonly index: number;
  /** Of a channel or bus; after its fader where nothing is said. */
  readonly fader?: FaderPoint;
}

export interface TapStreamOptions {
  readonly sampleRate: number;
  readonly factor: 4 | 8;
  readonly alignmentDbfs: number;
  readonly a: GraphConfig;
  readonly b: GraphConfig;
  /** One or two planes a channel at the session's rate, none for silence; beyond their end there is silence. */
  readonly inputs: readonly Planes[];
  readonly taps: readonly Tap[];
  /** Frame of the sources that the stream starts with, with empty filters. */
  readonly start?: number;
}

/** Most frames given at once. */
export const CHUNK_FRAMES = 64 * MAX_FRAMES;

/** Frames that a tap may be ahead of another. */
const AHEAD = PLACE_LATENCY.mix + MAX_FRAMES;

/** What a tap has given and nobody has read yet. */
class Held {
  readonly planes = [new Float32Array(CHUNK_FRAMES + AHEAD), new Float32Array(CHUNK_FRAMES + AHEAD)];
  count = 0;
  /** Frames of latency that are still to be left out. */
  skip: number;

  constructor(
    readonly tap: Tap,
    /** Gains of the strip's fader, left and right; null where the sound is taken before it or there is none. */
    readonly fader: readonly [number, number] | null,
  ) {
    this.skip = PLACE_LATENCY[tap.place];
  }
}

/**
 * A session as it runs through the engine's own kernels, given out at several places at once and aligned: frame n of
 * every tap belongs to frame n of the sources, whatever racks lie before it. Memory is the same for any length.
 */
export class TapStream {
  private readonly context: EngineContext;
  private readonly passes: readonly GraphPass[];
  private readonly input: number;
  private readonly print: number;
  private readonly left: number;
  private readonly right: number;
  private readonly held: readonly Held[];
  /** Frame of the sources that is read next. */
  private position: number;
  /** Frames that the last call gave. */
  private given = 0;

  /**
   * @throws Error where the host has no WebAssembly SIMD, or for a tap at a strip that isn't there
   */
  constructor(private readonly options: TapStreamOptions) {
    const { sampleRate, factor, alignmentDbfs, taps, start = 0 } = options;
    this.context = new EngineContext(instantiateKernels(), sampleRate, factor, alignmentDbfs);
    const { heap } = this.context;
    const plans = { a: planGraph(options.a), b: planGraph(options.b) };
    this.held = taps.map((tap) => new Held(tap, faderOf(plans[tap.side], tap)));
    const sides = (['a', 'b'] as const).filter((side) => taps.some((tap) => tap.side === side));
    this.passes = sides.map((side) => this.passOf(plans[side], side));
    this.input = heap.allocate((MAX_FRAMES + 4) * 8);
    this.print = heap.allocate((MAX_FRAMES + 4) * 8);
    this.left = heap.allocate((MAX_FRAMES + 4) * 4);
    this.right = heap.allocate((MAX_FRAMES + 4) * 4);
    this.position = start;
  }

  private passOf(plan: GraphPlan, side: Tap['side']): GraphPass {
    const held = this.held.filter(({ tap }) => tap.side === side);
    const pass = new GraphPass(this.context, plan, {
      input: () => undefined,
      output: (place, index, buffer, frames) => {
        for (const one of held) if (one.tap.place === place && one.tap.index === index) this.keep(one, buffer, frames);
      },
    });
    const wanted = held.map(({ tap }) => stripAt(plan, tap.place, tap.index));
    pass.follow(plan, true, neededFor(plan, wanted));
    return pass;
  }

  /**
   * The next `frames` frames (at most CHUNK_FRAMES) of every tap, as stereo planes in the order of the taps. The planes
   * are used again at the next call.
   */
  read(frames: number): readonly (readonly Float32Array[])[] {
    for (const held of this.held) {
      // What the last call gave is done with.
      if (this.given === 0) break;
      for (const plane of held.planes) plane.copyWithin(0, this.given, held.count);
      held.count -= this.given;
    }
    while (this.held.some(({ count }) => count < frames)) this.block();
    this.given = frames;
    return this.held.map(({ planes }) => planes);
  }

  private block(): void {
    for (const pass of this.passes) pass.begin(MAX_FRAMES);
    this.options.inputs.forEach((planes, index) => {
      if (!this.passes.some((pass) => pass.needsChannel(index))) return;
      this.load(planes);
      for (const pass of this.passes) pass.channel(index, this.input, MAX_FRAMES);
    });
    for (const pass of this.passes) pass.finish(MAX_FRAMES);
    this.position += MAX_FRAMES;
  }

  /** Takes what a strip's rack gives at a tap. Behind a fader it is 0 + gain·x, just what goes into the next sum. */
  private keep(held: Held, buffer: number, frames: number): void {
    const skip = Math.min(held.skip, frames);
    held.skip -= skip;
    if (skip === frames) return;
    const { kernels, heap } = this.context;
    let source = buffer;
    if (held.fader) {
      const [left, right] = held.fader;
      heap.clear(this.print, frames * 8);
      kernels.mixInto(this.print, buffer, frames, left, left, right, right);
      source = this.print;
    }
    kernels.deinterleave(source, this.left, this.right, frames);
    [this.left, this.right].forEach((address, plane) => {
      const from = address >> 2;
      held.planes[plane].set(heap.f32.subarray(from + skip, from + frames), held.count);
    });
    held.count += frames - skip;
  }

  private load(planes: Planes): void {
    const { kernels, heap } = this.context;
    if (planes.length === 0) {
      heap.clear(this.input, MAX_FRAMES * 8);
      return;
    }
    const at = this.position;
    planes.slice(0, 2).forEach((plane, side) => {
      const address = (side === 0 ? this.left : this.right) >> 2;
      const available = Math.max(0, Math.min(MAX_FRAMES, plane.length - at));
      if (available > 0) heap.f32.set(plane.subarray(at, at + available), address);
      heap.f32.fill(0, address + available, address + MAX_FRAMES);
    });
    kernels.interleave(this.left, planes.length > 1 ? this.right : this.left, this.input, MAX_FRAMES);
  }
}

function faderOf(plan: GraphPlan, { place, index, fader = 'after' }: Tap): readonly [number, number] | null {
  const strip = plan.strips[stripAt(plan, place, index)];
  if (!strip) throw new Error(`The session has no ${place} ${index}.`);
  return place === 'mix' || fader === 'before' ? null : [strip.left, strip.right];
}
