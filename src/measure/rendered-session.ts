import { truePeak } from '../dsp/true-peak.ts';
import type { Decibels } from '../dsp/units.ts';
import { planGraph } from '../engine/graph-plan.ts';
import { graphConfig, rackConfig } from '../render/engine-config.ts';
import { scaled } from '../render/planes.ts';
import type { Planes } from '../render/rack-renderer.ts';
import { RackRenderer } from '../render/rack-renderer.ts';
import { Sums, sliced } from '../render/sums.ts';
import type { Rack, RackId, SessionDocument } from '../session/document.ts';
import { emptyRack, findRack, MIX_ID, rackIds } from '../session/document.ts';
import type { MatchReference } from './match.ts';
import { matchReference } from './match.ts';
import { matchRegionFrames, type SoundExtent } from './match-region.ts';
import { RackEntry, RackInput } from './rack-entry.ts';

/** A part of a channel's sound. */
export interface SoundPart {
  /** Its first frame in the session. */
  readonly start: number;
  /** Length of the whole sound, frames. */
  readonly frames: number;
}

interface Source extends SoundPart {
  readonly planes: Planes;
  readonly version: number;
}

export interface CleanMix {
  readonly key: string;
  readonly planes: Planes;
  readonly reference: MatchReference;
  readonly peakDbtp: Decibels;
}

/** One side, rendered. */
export interface RenderedSide {
  readonly racks: Readonly<Record<RackId, { readonly entry: RackEntry; readonly rack: Rack }>>;
  readonly key: string;
  /** After the mix rack's match, before the last gain. */
  readonly mix: Planes;
}

/**
 * The sound of a session over its match region, rack by rack as the plan of the graph has them, with the same kernels as
 * the engine. What nothing changed for is kept, so that one move costs that rack and those after it. Methods that render
 * are generators that yield about every 10 ms.
 */
export class RenderedSession {
  private readonly sources = new Map<string, Source>();
  private readonly entries = { a: new Map<RackId, RackEntry>(), b: new Map<RackId, RackEntry>() };
  renderer: RackRenderer;
  /** For levels in a hurry, at 4× throughout: what folds back weighs nothing in loudness. */
  quick: RackRenderer;
  private cleanMix: CleanMix | null = null;
  private version = 0;

  constructor(
    readonly sampleRate: number,
    private alignmentDbfs: number,
    private readonly factor: 4 | 8,
  ) {
    this.renderer = new RackRenderer(sampleRate, factor, alignmentDbfs);
    this.quick = new RackRenderer(sampleRate, 4, alignmentDbfs, true);
  }

  /**
   * A channel's sound at the session's rate, one or two planes; null takes it away.
   * @param stretch where only a part of the sound is handed over: it must hold the match region
   */
  setSource(channelId: string, planes: Planes | null, stretch?: SoundPart): void {
    this.version++;
    if (!planes) this.sources.delete(channelId);
    else {
      const { start = 0, frames = planes[0].length } = stretch ?? {};
      this.sources.set(channelId, { planes, start, frames, version: this.version });
    }
  }

  /** Length of the session, frames. */
  get frames(): number {
    return this.extent.frames;
  }

  private get extent(): SoundExtent {
    let frames = 0;
    let planes = 0;
    for (const source of this.sources.values()) {
      frames = Math.max(frames, source.frames);
      planes += source.planes.length;
    }
    return { frames, planes };
  }

  /** The match region in frames. */
  region(document: SessionDocument): readonly [number, number] {
    return matchRegionFrames({ ...document, sampleRate: this.sampleRate }, this.extent);
  }

  /** Takes the operating level over; what was rendered at another one is forgotten. */
  align(document: SessionDocument): void {
    if (document.alignmentDbfs === this.alignmentDbfs) return;
    this.alignmentDbfs = document.alignmentDbfs;
    this.renderer = new RackRenderer(this.sampleRate, this.factor, this.alignmentDbfs);
    this.quick = new RackRenderer(this.sampleRate, 4, this.alignmentDbfs, true);
    this.entries.a.clear();
    this.entries.b.clear();
  }

  /** One of side B's racks as it was rendered last, and as it is set now; null before that. */
  rackOf(document: SessionDocument, rackId: RackId): { readonly entry: RackEntry; readonly rack: Rack } | null {
    const entry = this.entries.b.get(rackId);
    const rack = findRack(document, rackId);
    return entry && rack ? { entry, rack } : null;
  }

  /** The plain sum of everything, kept until a gain, a route or a sound changes. */
  clean(document: SessionDocument, region: readonly [number, number]): CleanMix {
    const ids = rackIds(document);
    const { strips } = planGraph(graphConfig(document, {}));
    const sums = new Sums(region[1] - region[0]);
    for (const [position, { place, into, left, right }] of strips.entries()) {
      if (into < 0) continue;
      const input = place === 'channel' ? this.channelInput(ids[position], region) : sums.at(position);
      if (!input) continue;
      sums
        .at(into)
        .plan(`(${input.key})*${left}*${right};`, (sum) => this.renderer.addInto(sum, input.planes, 1, left, right));
    }
    const mix = sums.at(strips.length - 1);
    if (this.cleanMix?.key === mix.key) return this.cleanMix;
    const { key, planes } = mix;
    this.cleanMix = {
      key,
      planes,
      reference: matchReference(planes, this.sampleRate),
      peakDbtp: truePeak(planes, this.sampleRate).dbtp,
    };
    return this.cleanMix;
  }

  /** One side through its racks, in the order of the plan. */
  *side(
    document: SessionDocument,
    racks: Readonly<Record<RackId, Rack>>,
    slot: 'a' | 'b',
    region: readonly [number, number],
    step: () => void,
  ): Generator<void, RenderedSide> {
    const ids = rackIds(document);
    const { strips } = planGraph(graphConfig(document, racks));
    const found: Record<RackId, { entry: RackEntry; rack: Rack }> = {};
    const sums = new Sums(region[1] - region[0]);
    for (const [position, { place, into, left, right }] of strips.entries()) {
      const id = ids[position];
      const input = place === 'channel' ? this.channelInput(id, region) : sums.at(position);
      if (!input) continue;
      const rack = racks[id] ?? emptyRack();
      const entry = yield* this.rackEntry(id, slot, rack, input.planes, `${id}:${input.key}`);
      found[id] = { entry, rack };
      const match = heardMatch(entry, rack, document);
      if (into >= 0) {
        sums
          .at(into)
          .plan(`(${input.key})${entry.configKey}*${match}*${left}*${right};`, (sum) =>
            this.renderer.addInto(sum, entry.output, match, left, right),
          );
      }
      step();
      yield;
    }
    const { entry, rack } = found[MIX_ID];
    const match = heardMatch(entry, rack, document);
    return {
      racks: found,
      key: `${entry.input.key}|${entry.configKey}|${match}`,
      mix: scaled(entry.output, match),
    };
  }

  /** A channel's sound over the match region; null where it has none. */
  private channelInput(id: RackId, [start, end]: readonly [number, number]) {
    const source = this.sources.get(id);
    if (!source) return null;
    const planes = sliced(source.planes, start - source.start, end - source.start);
    return { key: `${id}:${source.version}:${start}-${end}`, planes };
  }

  private *rackEntry(
    rackId: RackId,
    slot: 'a' | 'b',
    rack: Rack,
    planes: Planes,
    inputKey: string,
  ): Generator<void, RackEntry> {
    const entries = this.entries[slot];
    const known = entries.get(rackId);
    const config = rackConfig(rack, false);
    const configKey = JSON.stringify([config.on, config.stages.map(({ kind, on, values }) => [kind, on, values])]);
    if (known?.input.key === inputKey && known.configKey === configKey) return known;
    const input = known?.input.key === inputKey ? known.input : this.rackInput(inputKey, planes);
    yield;
    const empty = !config.on || config.stages.length === 0;
    const output = empty ? input.planes : yield* this.renderer.render(config, input.planes);
    const entry = new RackEntry(
      input,
      configKey,
      output,
      empty ? input.reference : matchReference(output, this.sampleRate),
    );
    yield;
    entries.set(rackId, entry);
    return entry;
  }

  private rackInput(key: string, planes: Planes): RackInput {
    return new RackInput(key, planes, matchReference(planes, this.sampleRate), this.sampleRate);
  }
}

/** Match gain as an amplitude ratio, as it is heard. */
export function heardMatch(entry: RackEntry, rack: Rack, document: SessionDocument): number {
  return rackConfig({ ...rack, matchGainDb: entry.match?.gainDb ?? null }, document.matching).match;
}
