import type { GraphConfig } from '../../engine/config.ts';
import { EngineContext } from '../../engine/engine-context.ts';
import { instantiateKernels } from '../../engine/kernels.ts';
import { MAX_FRAMES } from '../../engine/rack-processor.ts';
import type { Planes } from '../rack-renderer.ts';
import type { TapPlace, Wanted } from './side-pass.ts';
import { SidePass, TAP_LATENCY } from './side-pass.ts';

export interface Tap {
  readonly side: 'a' | 'b';
  readonly place: TapPlace;
  /** Of the channel or bus in the session's order; 0 for the mix. */
  readonly index: number;
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
const AHEAD = TAP_LATENCY.mix + MAX_FRAMES;

/**
 * A session as it runs through the engine's own kernels, given out at several places at once and aligned: frame n of
 * every tap belongs to frame n of the sources, whatever racks lie before it. Memory is the same for any length.
 */
export class TapStream {
  private readonly context: EngineContext;
  private readonly sides: ReadonlyMap<Tap['side'], SidePass>;
  private readonly passes: readonly SidePass[];
  private readonly input: number;
  private readonly left: number;
  private readonly right: number;
  private readonly held: { readonly tap: Tap; readonly planes: Float32Array[]; count: number; skip: number }[];
  /** Frame of the sources that is read next. */
  private position: number;
  /** Frames that the last call gave. */
  private given = 0;

  /** @throws Error where the host has no WebAssembly SIMD */
  constructor(private readonly options: TapStreamOptions) {
    const { sampleRate, factor, alignmentDbfs, taps, start = 0 } = options;
    this.context = new EngineContext(instantiateKernels(), sampleRate, factor, alignmentDbfs);
    const { heap } = this.context;
    const sides = (['a', 'b'] as const).filter((side) => taps.some((tap) => tap.side === side));
    this.sides = new Map(
      sides.map((side) => [side, new SidePass(this.context, options[side], wantedOf(taps, side))] as const),
    );
    this.passes = [...this.sides.values()];
    this.input = heap.allocate((MAX_FRAMES + 4) * 8);
    this.left = heap.allocate((MAX_FRAMES + 4) * 4);
    this.right = heap.allocate((MAX_FRAMES + 4) * 4);
    this.held = taps.map((tap) => ({
      tap,
      planes: [new Float32Array(CHUNK_FRAMES + AHEAD), new Float32Array(CHUNK_FRAMES + AHEAD)],
      count: 0,
      skip: TAP_LATENCY[tap.place],
    }));
    this.position = start;
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
    const { kernels } = this.context;
    for (const pass of this.passes) pass.begin(MAX_FRAMES);
    this.options.inputs.forEach((planes, index) => {
      if (!this.passes.some((pass) => pass.needsChannel(index))) return;
      this.load(planes);
      for (const pass of this.passes) pass.channel(index, this.input, MAX_FRAMES);
    });
    for (const pass of this.passes) pass.finish(MAX_FRAMES);
    this.position += MAX_FRAMES;
    for (const held of this.held) {
      const skip = Math.min(held.skip, MAX_FRAMES);
      held.skip -= skip;
      if (skip === MAX_FRAMES) continue;
      const { side, place, index } = held.tap;
      const source = (this.sides.get(side) as SidePass).tap(place, index);
      kernels.deinterleave(source, this.left, this.right, MAX_FRAMES);
      const { f32 } = this.context.heap;
      [this.left, this.right].forEach((address, plane) => {
        const from = address >> 2;
        held.planes[plane].set(f32.subarray(from + skip, from + MAX_FRAMES), held.count);
      });
      held.count += MAX_FRAMES - skip;
    }
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

function wantedOf(taps: readonly Tap[], side: 'a' | 'b'): Wanted {
  const at = (place: TapPlace) =>
    new Set(taps.filter((tap) => tap.side === side && tap.place === place).map(({ index }) => index));
  return { channels: at('channel'), buses: at('bus'), mix: at('mix').size > 0 };
}
