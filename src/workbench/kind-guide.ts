import { stageKinds } from '../engine/stages/catalogue.ts';
import type { KindFigure } from '../measure/kind-figure.ts';
import type { KindGuideStore } from '../stores/kind-guide-store.ts';
import { Notifier } from '../stores/observable.ts';

/** Measures every stage kind once it is asked for, and anew at another rate or operating level. */
export class KindGuide extends Notifier implements KindGuideStore {
  figures: ReadonlyMap<string, KindFigure> = new Map();
  private measuredAt = '';
  private looks = 0;

  /** @param measure throws where a kind can't be measured, which then stays without a figure */
  constructor(
    private readonly session: () => { readonly sampleRate: number; readonly alignmentDbfs: number },
    private readonly measure: (kindId: string, sampleRate: number, operatingDbfs: number) => Promise<KindFigure>,
  ) {
    super();
  }

  async look(): Promise<void> {
    const mine = ++this.looks;
    const { alignmentDbfs, sampleRate } = this.session();
    const at = `${sampleRate} ${alignmentDbfs}`;
    if (at !== this.measuredAt) this.figures = new Map();
    this.measuredAt = at;
    for (const { id } of stageKinds) {
      if (this.figures.has(id)) continue;
      const figure = await this.measure(id, sampleRate, alignmentDbfs).catch(() => null);
      if (mine !== this.looks) return;
      if (figure) this.figures = new Map(this.figures).set(id, figure);
      this.notify();
    }
  }
}
