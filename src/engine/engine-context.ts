import { dbToGain } from '../dsp/units.ts';
import type { RackConfig } from './config.ts';
import { Heap } from './heap.ts';
import type { Kernels } from './kernels.ts';
import { CORNER_DELAY, firmFactor, oversamplingLayout } from './oversampling.ts';
import type { FilterAddresses, RackLayouts } from './rack-processor.ts';
import { RackProcessor, RackScratch } from './rack-processor.ts';
import { stageKinds } from './stages/catalogue.ts';
import type { StageKind } from './stages/stage-kind.ts';
import { StageKinds } from './stages/stage-kinds.ts';

/** What all racks of one host share: kernels, memory, filters, scratch buffers and the alignment level. */
export class EngineContext {
  readonly heap: Heap;
  private readonly layouts: RackLayouts;
  private readonly scratch: RackScratch;
  private readonly taps: readonly FilterAddresses[];
  private alignmentGain: number;
  private readonly kinds: StageKinds;

  /**
   * @param sampleRate Hz
   * @param factor over-sampling, 4 or 8; racks with firm curves take 8 (`firmFactor`)
   * @param alignmentDbfs peak level of the sine that counts as the operating level
   * @param isQuick for levels in a hurry: racks with firm curves are like any other, aliases and all
   * @param kinds the stage kinds there are; a stage of another kind passes its signal
   * @throws Error with a sentence about a kind whose delay or memory doesn't fit a rack
   */
  constructor(
    readonly kernels: Kernels,
    readonly sampleRate: number,
    factor: 4 | 8,
    alignmentDbfs: number,
    isQuick = false,
    kinds: readonly StageKind[] = stageKinds,
  ) {
    this.heap = new Heap(kernels);
    this.layouts = {
      smooth: oversamplingLayout(factor, sampleRate),
      firm: oversamplingLayout(isQuick ? factor : firmFactor(factor, sampleRate), sampleRate),
      isQuick,
    };
    // The firm layout has the same doublings or one more.
    const widest = this.layouts.firm;
    this.scratch = new RackScratch(this.heap, widest);
    this.alignmentGain = dbToGain(alignmentDbfs);
    this.taps = widest.doublings.map((doubling) => {
      const up = this.heap.allocate(doubling.up.length * 4);
      const down = this.heap.allocate(doubling.down.length * 4);
      this.heap.f32.set(doubling.up, up >> 2);
      this.heap.f32.set(doubling.down, down >> 2);
      return { up, down };
    });
    this.kinds = new StageKinds(
      kinds,
      { any: Math.min(this.layouts.smooth.padding, this.layouts.firm.padding), firm: this.layouts.firm.padding },
      isQuick ? 0 : CORNER_DELAY,
    );
  }

  set alignmentDbfs(value: number) {
    this.alignmentGain = dbToGain(value);
  }

  createRack(config: RackConfig): RackProcessor {
    const rack = new RackProcessor(
      this.kernels,
      this.heap,
      this.layouts,
      this.scratch,
      this.sampleRate,
      () => this.alignmentGain,
      this.taps,
      this.kinds,
    );
    rack.reset(config);
    return rack;
  }
}
