import type { RackConfig, StageConfig } from './config.ts';
import { EMPTY_RACK } from './config.ts';
import type { Heap } from './heap.ts';
import type { Kernels } from './kernels.ts';
import type { OversamplingLayout } from './oversampling.ts';
import { MAX_STAGES, RACK_LATENCY } from './oversampling.ts';
import { Ramp } from './ramp.ts';
import { rackSettle } from './settling.ts';
import { isDrivenHard, levelBehind, peakAtCurve } from './shaping.ts';
import { StageProcessor } from './stage-processor.ts';
import type { Circuit } from './stages/stage-kind.ts';
import type { StageKinds } from './stages/stage-kinds.ts';

/** Most frames a rack takes at once. */
export const MAX_FRAMES = 128;
/** While something moves, gains are taken anew every so many frames and interpolated between. */
const CONTROL_FRAMES = 8;
/** Fade of what the stages add when stages come, go, change places or change kernels, seconds. */
const CHANGE_SECONDS = 0.005;
/** Glide of the match gain, seconds. */
const MATCH_SECONDS = 0.05;
/** Frames the filters take to fill before the stages' share is faded in; circuits with memory take longer. */
const WARM_UP = 2 * RACK_LATENCY;

const FRAME_BYTES = 8;

/** Where one doubling's filter stands in memory, for each direction. */
export interface FilterAddresses {
  readonly up: number;
  readonly down: number;
}

/** Over-sampling for racks of smooth curves only, and for racks that have firm ones. */
export interface RackLayouts {
  readonly smooth: OversamplingLayout;
  readonly firm: OversamplingLayout;
  /** For levels in a hurry: curves with corners are sampled plainly, aliases and all. */
  readonly isQuick: boolean;
}

/** Buffers at the higher rate that all racks of one host share, since they run one after the other. */
export class RackScratch {
  readonly signal: number;
  readonly difference: number;
  readonly added: number;
  readonly other: number;
  readonly middle: readonly number[];
  /** What the stages add, at the base rate. */
  readonly total: number;

  constructor(heap: Heap, layout: OversamplingLayout) {
    const high = (MAX_FRAMES * layout.factor + 8) * FRAME_BYTES;
    this.signal = heap.allocate(high);
    this.difference = heap.allocate(high);
    this.added = heap.allocate(high);
    this.other = heap.allocate(high);
    this.middle = layout.doublings.map(() => heap.allocate(high));
    this.total = heap.allocate((MAX_FRAMES + 4) * FRAME_BYTES);
  }
}

/**
 * The rack of one channel, bus or mix: y = match·(g·delay(x) + down(stages(up(x)) − g·up(x))).
 *
 * The linear part is the delayed input times a gain, exact over the full band; only what the stages add is over-sampled.
 * Latency is `RACK_LATENCY` frames whatever the rack holds. Moves of parameters glide. Whatever would break the
 * continuity of the added part (another order, kernel or stage) is done while it is faded out; the linear part goes on
 * all the time.
 */
export class RackProcessor {
  private readonly stages: StageProcessor[];
  private count = 0;
  private readonly share = new Ramp(0);
  private readonly gain = new Ramp(1);
  private readonly match = new Ramp(1);
  private config: RackConfig = EMPTY_RACK;
  private pending: RackConfig | null = null;
  private warmUp = 0;
  /** True while the over-sampled path runs. */
  private running = false;
  /** True while the linear gain follows its own ramp instead of the stages' product. */
  private gainRamps = false;
  private sinceControl = 0;

  private layout: OversamplingLayout;
  private readonly upHistory: readonly number[];
  private readonly downHistory: readonly number[];
  private readonly historyBytes: readonly number[];
  private readonly padding: number;
  private readonly paddingBytes: number;
  private readonly history: number;
  private readonly findKind = (id: string) => this.kinds.find(id);

  constructor(
    private readonly kernels: Kernels,
    private readonly heap: Heap,
    private readonly layouts: RackLayouts,
    private readonly scratch: RackScratch,
    private readonly rate: number,
    private readonly alignment: () => number,
    private readonly taps: readonly FilterAddresses[],
    private readonly kinds: StageKinds,
  ) {
    const { firm } = layouts;
    this.layout = layouts.smooth;
    this.historyBytes = firm.doublings.map(({ pairs }) => 4 * pairs * FRAME_BYTES);
    this.upHistory = this.historyBytes.map((bytes) => heap.allocate(bytes));
    this.downHistory = this.historyBytes.map((bytes) => heap.allocate(bytes));
    this.paddingBytes = (Math.max(firm.padding, layouts.smooth.padding) + 1) * FRAME_BYTES;
    this.padding = heap.allocate(this.paddingBytes);
    this.history = heap.allocate(RACK_LATENCY * FRAME_BYTES);
    this.stages = Array.from(
      { length: MAX_STAGES },
      () => new StageProcessor(kernels, heap, rate, alignment, kinds, layouts.isQuick),
    );
  }

  /** Forgets all sound and takes the configuration at once, without fades. */
  reset(config: RackConfig): void {
    this.pending = null;
    this.install(config, true);
    this.match.jump(config.match);
    this.gain.jump(this.stagesGain());
    this.gainRamps = false;
    this.share.jump(this.hasAudible() ? 1 : 0);
    this.running = this.hasAudible();
    this.warmUp = 0;
    this.sinceControl = 0;
    this.heap.clear(this.history, RACK_LATENCY * FRAME_BYTES);
    this.clearStages();
  }

  /** Moves to a new configuration while sound goes on. */
  set(config: RackConfig): void {
    this.match.start(config.match, Math.round(MATCH_SECONDS * this.rate));
    if (this.pending) {
      this.pending = config;
      return;
    }
    if (this.continues(config)) {
      this.config = config;
      for (let i = 0; i < this.count; i++) this.stages[i].moveTo(config.stages[i]);
      return;
    }
    this.pending = config;
    this.share.start(0, Math.round(CHANGE_SECONDS * this.rate));
  }

  /** Only the match gain, which glides. */
  setMatch(gain: number): void {
    this.match.start(gain, Math.round(MATCH_SECONDS * this.rate));
  }

  /** Processes up to MAX_FRAMES interleaved frames in place. */
  process(buffer: number, frames: number): void {
    let done = 0;
    while (done < frames) {
      const moving = this.moving;
      const untilControl = CONTROL_FRAMES - (this.sinceControl % CONTROL_FRAMES);
      let span = moving ? Math.min(frames - done, untilControl) : frames - done;
      for (let i = 0; i < this.count; i++) span = Math.min(span, this.stages[i].mostFrames);
      this.run(buffer + done * FRAME_BYTES, span);
      this.sinceControl = (this.sinceControl + span) % CONTROL_FRAMES;
      done += span;
    }
  }

  private get moving(): boolean {
    if (this.pending || this.warmUp > 0 || this.share.moving || this.gain.moving || this.match.moving) return true;
    for (let i = 0; i < this.count; i++) if (this.stages[i].moving) return true;
    return false;
  }

  private run(buffer: number, frames: number): void {
    const { kernels, scratch } = this;
    this.change();
    const gain0 = this.gainRamps ? this.gain.at(0) : this.stagesGain();
    const share0 = this.share.at(0);
    const match0 = this.match.at(0);
    if (this.running) this.oversampled(buffer, frames);
    else for (let i = 0; i < this.count; i++) this.stages[i].skip(frames);
    this.gain.advance(frames);
    if (this.gainRamps && !this.gain.moving) this.gainRamps = false;
    const gain1 = this.gainRamps ? this.gain.at(0) : this.stagesGain();
    this.share.advance(frames);
    this.match.advance(frames);
    kernels.delay(buffer, frames, RACK_LATENCY, this.history);
    // biome-ignore format: pairs of start and end
    kernels.combine(buffer, this.running ? scratch.total : 0, frames, gain0, gain1, share0, this.share.at(0), match0, this.match.at(0));
    if (this.warmUp > 0) {
      this.warmUp = Math.max(0, this.warmUp - frames);
      if (this.warmUp === 0) this.share.start(1, Math.round(CHANGE_SECONDS * this.rate));
    }
  }

  /** Takes pending changes and starts or stops the over-sampled path, where nothing of it is heard. */
  private change(): void {
    if (this.share.moving || this.share.target > 0) {
      // A rack whose last stage has been switched off runs on until then, after which its path can stop.
      if (!this.pending && !this.hasAudible() && !this.share.moving) {
        this.share.jump(0);
        this.running = false;
      }
      return;
    }
    if (this.pending) {
      const from = this.gainRamps ? this.gain.at(0) : this.stagesGain();
      this.gain.jump(from);
      this.install(this.pending, false);
      this.pending = null;
      this.gain.start(this.stagesGain(), Math.round(2 * CHANGE_SECONDS * this.rate));
      this.gainRamps = this.gain.moving;
      this.running = false;
    }
    const wanted = this.hasAudible();
    if (wanted && !this.running) {
      this.clearStages();
      this.running = true;
      this.warmUp = WARM_UP + Math.round(rackSettle(this.config, this.findKind) * this.rate);
    } else if (!wanted) {
      this.running = false;
      this.warmUp = 0;
    }
  }

  private oversampled(buffer: number, frames: number): void {
    const { kernels, layout, scratch } = this;
    const { doublings, factor } = layout;
    const last = doublings.length - 1;
    let source = buffer;
    for (let i = 0; i <= last; i++) {
      const target = i === last ? scratch.signal : scratch.middle[i];
      const { isHalfBand, pairs } = doublings[i];
      const upsample = isHalfBand ? kernels.upsample : kernels.upsampleFull;
      upsample(source, target, frames << i, pairs, this.taps[i].up, this.upHistory[i]);
      source = target;
    }
    this.heap.clear(scratch.difference, frames * factor * FRAME_BYTES);
    let delays = 0;
    for (let i = 0; i < this.count; i++) {
      const stage = this.stages[i];
      stage.process(scratch, frames);
      delays += stage.delay;
    }
    kernels.delay(scratch.difference, frames * factor, layout.padding - delays, this.padding);
    source = scratch.difference;
    for (let i = last; i >= 0; i--) {
      const target = i === 0 ? scratch.total : scratch.middle[i - 1];
      const { isHalfBand, pairs } = doublings[i];
      const downsample = isHalfBand ? kernels.downsample : kernels.downsampleFull;
      downsample(source, target, frames << i, pairs, this.taps[i].down, this.downHistory[i]);
      source = target;
    }
  }

  private stagesGain(): number {
    let product = 1;
    for (let i = 0; i < this.count; i++) product *= this.stages[i].linearGain();
    return product;
  }

  private hasAudible(): boolean {
    for (let i = 0; i < this.count; i++) if (this.stages[i].audible) return true;
    return false;
  }

  private install(config: RackConfig, isAtOnce: boolean): void {
    this.config = config;
    this.count = config.on ? Math.min(config.stages.length, MAX_STAGES) : 0;
    this.layout = this.layouts.smooth;
    for (let i = 0; i < this.count; i++) {
      if (this.circuitOf(config.stages[i])?.knee === 'firm' || this.isHard(config, i)) this.layout = this.layouts.firm;
    }
    for (let i = 0; i < this.count; i++) {
      this.stages[i].become(config.stages[i], this.layout.factor, this.isHard(config, i), isAtOnce);
    }
  }

  /** True where full scale drives the stage's curve so hard that plain samples wouldn't follow it. */
  private isHard({ stages }: RackConfig, index: number): boolean {
    if (this.layouts.isQuick) return false;
    let level = 1;
    for (let i = 0; i < index; i++) {
      const before = this.kinds.find(stages[i].kind);
      if (before) level = levelBehind(before, stages[i], level);
    }
    const kind = this.kinds.find(stages[index].kind);
    if (!kind) return false;
    const peak = peakAtCurve(kind, stages[index], level, this.alignment());
    return isDrivenHard(kind.circuit(stages[index].values), stages[index].values, peak, this.rate);
  }

  private clearStages(): void {
    for (let i = 0; i < this.count; i++) this.stages[i].clear();
    for (let i = 0; i < this.taps.length; i++) {
      this.heap.clear(this.upHistory[i], this.historyBytes[i]);
      this.heap.clear(this.downHistory[i], this.historyBytes[i]);
    }
    this.heap.clear(this.padding, this.paddingBytes);
  }

  private circuitOf({ kind, values }: StageConfig): Circuit | null {
    return this.kinds.find(kind)?.circuit(values) ?? null;
  }

  /** True when the stages are the same ones in the same order with the same kernels, shaped the same way. */
  private continues(config: RackConfig): boolean {
    if (config.on !== this.config.on) return false;
    if (!config.on) return config.stages.length === this.config.stages.length || this.count === 0;
    if (config.stages.length !== this.count) return false;
    for (let i = 0; i < this.count; i++) {
      const next = config.stages[i];
      const stage = this.stages[i];
      if (next.key !== stage.key || this.circuitOf(next) !== stage.circuit) return false;
      if (this.isHard(config, i) !== stage.isHard) return false;
    }
    return true;
  }
}
