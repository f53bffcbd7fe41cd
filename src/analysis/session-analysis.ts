import { thirdOctaveDifference, thirdOctavePowers } from '../dsp/third-octaves.ts';
import { truePeak } from '../dsp/true-peak.ts';
import type { Decibels } from '../dsp/units.ts';
import { dbToGain } from '../dsp/units.ts';
import { planGraph } from '../engine/graph-plan.ts';
import type { Rack, RackId, SessionDocument } from '../session/document.ts';
import { emptyRack, findRack, MIX_ID, rackIds } from '../session/document.ts';
import { addedPercent, bestGain } from './added-share.ts';
import type { StageTrims } from './alignment.ts';
import { alignmentTrims } from './alignment.ts';
import type { Amplitudes } from './amplitudes.ts';
import { commonHeadroomDb } from './common-headroom.ts';
import { graphConfig, rackConfig } from './engine-config.ts';
import type { MatchFigures, SideFigures, StageLoop, TapLevels } from './figures.ts';
import { histogram } from './histogram.ts';
import { loudestColour } from './loudest-colour.ts';
import type { MatchReference } from './match.ts';
import { matchBetween, matchReference, spanLead, spanMatch } from './match.ts';
import { matchRegionFrames, type SoundExtent } from './match-region.ts';
import { RackEntry, RackInput } from './rack-entry.ts';
import type { Planes } from './rack-renderer.ts';
import { RackRenderer } from './rack-renderer.ts';
import { envelope, scaled } from './session-graph.ts';
import { Sums, sliced } from './session-sums.ts';
import { sideFigures } from './side-figures.ts';
import { curveRange } from './stage-face.ts';
import { hasMemory, stageLoop } from './stage-loop.ts';

/** A part of a channel's sound. */
export interface Stretch {
  /** Its first frame in the session. */
  readonly start: number;
  /** Length of the whole sound, frames. */
  readonly frames: number;
}

interface Source extends Stretch {
  readonly planes: Planes;
  readonly version: number;
}

/** The racks of both sides; side A is null where it is clean. */
export interface SideRacks {
  readonly a: Readonly<Record<RackId, Rack>> | null;
  readonly b: Readonly<Record<RackId, Rack>>;
}

interface CleanMix {
  readonly key: string;
  readonly planes: Planes;
  readonly reference: MatchReference;
  readonly peakDbtp: Decibels;
}

/** What is known of the mixes while nothing moves. */
interface Mixes {
  readonly key: string;
  readonly loudness: MatchReference;
  readonly loudnessA: MatchReference | null;
  readonly outputMatch: MatchFigures | null;
  readonly outputMatchA: MatchFigures | null;
  readonly addedGain: number;
  /** Before the last gain. */
  readonly peakDbtp: Decibels;
  readonly peakDbtpA: Decibels;
  readonly headroomDb: Decibels;
}

interface Mixed {
  readonly key: string;
  readonly region: readonly [number, number];
  readonly clean: CleanMix;
  readonly a: Pass | null;
  readonly b: Pass;
  readonly mixes: Mixes;
  readonly matches: SessionMatches;
}

interface Pass {
  readonly racks: Readonly<Record<RackId, { readonly entry: RackEntry; readonly rack: Rack }>>;
  readonly key: string;
  /** After the mix rack's match, before the last gain. */
  readonly mix: Planes;
}

export interface RackResult {
  readonly match: MatchFigures | null;
  /** What one more stage at the end of the rack would get. */
  readonly amplitudes: Amplitudes;
  readonly input: SideFigures;
  readonly output: SideFigures;
}

/** The gains that bring everything to one loudness, exactly. */
export interface SessionMatches {
  /** Side B's racks, and side A's where that isn't simply clean. */
  readonly matchesB: Readonly<Record<RackId, MatchFigures | null>>;
  readonly matchesA: Readonly<Record<RackId, MatchFigures | null>>;
  /** The last gains of side B and of side A, which bring each to the clean mix's loudness. */
  readonly outputMatch: MatchFigures | null;
  readonly outputMatchA: MatchFigures | null;
  /** Gain of side A's mix that leaves least of side B's: what "added" subtracts. */
  readonly addedGain: number;
  /** For both sides alike while they are listened to: keeps the louder true peak of the two under the guard's ceiling. */
  readonly headroomDb: Decibels;
}

export interface SessionResult extends SessionMatches {
  readonly racks: Readonly<Record<RackId, RackResult>>;
  /** Side A and side B at the output. */
  readonly clean: SideFigures;
  readonly coloured: SideFigures;
  readonly addedPercent: number | null;
  readonly waveform: Float32Array;
  readonly regionStartSeconds: number;
  readonly loudestColour: readonly number[];
}

/** What only the shown rack needs. */
export interface RackDetails {
  readonly taps: readonly TapLevels[];
  /** Per stage, the programme's amplitude histogram at the curve's input. */
  readonly histograms: readonly Float64Array[];
  /** Per stage, its loop where it has memory. */
  readonly loops: readonly (StageLoop | null)[];
  readonly toneDb: readonly (number | null)[];
  readonly addedPercent: number | null;
}

const WAVEFORM_COLUMNS = 2400;
/** Share of an analysis that its gains take, about. */
const GAINS_SHARE = 0.6;
/** Bands this far below the strongest are not heard beside it: their difference would be a tall bar for nothing. */
const TONE_FLOOR_DB = 60;
/**
 * The loudest seconds are bent more by a move than the whole. On ten seconds of piano, guitar and tabla, moved by up to
 * 12 dB of drive, the gain was off by at most 0.27 of its own move, beyond what it was off by before.
 */
const SPAN_ERROR_SHARE = 0.35;
/**
 * Measures and matches a session over its match region, rack by rack in the order of the signal path, with the same
 * kernels as the engine. Results of racks that nothing changed for are kept, so that one move costs that rack and
 * those after it. Every method is a generator that yields about every 10 ms: a job that is out of date is just dropped.
 */
export class SessionAnalysis {
  private readonly sources = new Map<string, Source>();
  private readonly entries = { a: new Map<RackId, RackEntry>(), b: new Map<RackId, RackEntry>() };
  private renderer: RackRenderer;
  /** For levels in a hurry, at 4× throughout: what folds back weighs nothing in loudness. */
  private quick: RackRenderer;
  private cleanMix: CleanMix | null = null;
  private lastMixes: Mixes | null = null;
  private last: { readonly key: string; readonly result: SessionResult } | null = null;
  private version = 0;

  constructor(
    private readonly sampleRate: number,
    private alignmentDbfs: number,
    private readonly factor: 4 | 8 = 4,
  ) {
    this.renderer = new RackRenderer(sampleRate, factor, alignmentDbfs);
    this.quick = new RackRenderer(sampleRate, 4, alignmentDbfs, true);
  }

  /**
   * A channel's sound at the session's rate, one or two planes; null takes it away.
   * @param stretch where only a part of the sound is handed over: it must hold the match region
   */
  setSource(channelId: string, planes: Planes | null, stretch?: Stretch): void {
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

  /**
   * The gains alone, exactly: of side B, and of side A where it isn't simply clean. Null for an empty region.
   * @param onProgress told the share done, 0 to 1
   */
  *matches(
    document: SessionDocument,
    onProgress?: (share: number) => void,
    sides: SideRacks = { a: null, b: racksOf(document) },
  ): Generator<void, SessionMatches | null> {
    return (yield* this.mixed(document, onProgress, sides))?.matches ?? null;
  }

  /**
   * Everything, exactly: the gains, then the figures of the clean mix, of both sides and of every rack.
   * @param onProgress told the share done, 0 to 1
   * @param onMatches told the gains as soon as they are known: the figures take about as long again
   */
  *analyse(
    document: SessionDocument,
    onProgress?: (share: number) => void,
    sides: SideRacks = { a: null, b: racksOf(document) },
    onMatches?: (matches: SessionMatches) => void,
  ): Generator<void, SessionResult | null> {
    const mixed = yield* this.mixed(document, (share) => onProgress?.(GAINS_SHARE * share), sides);
    if (!mixed) return null;
    const { key, region, clean, a, b, mixes, matches } = mixed;
    onMatches?.(matches);
    const racks: Record<RackId, RackResult> = {};
    const entries = Object.entries(b.racks);
    for (const [index, [id, { entry, rack }]] of entries.entries()) {
      racks[id] = resultOf(entry, document, rack);
      onProgress?.(GAINS_SHARE + ((1 - GAINS_SHARE) * index) / entries.length);
      yield;
    }
    if (this.last?.key === key) return { ...this.last.result, ...matches, racks };
    const first = a?.mix ?? clean.planes;
    const share = yield* addedPercent(first, b.mix);
    const result: SessionResult = {
      ...matches,
      racks,
      clean: sideFigures(
        first,
        this.sampleRate,
        lastGain(matches.outputMatchA, document),
        (mixes.loudnessA ?? clean.reference).loudness,
        mixes.peakDbtpA,
      ),
      coloured: sideFigures(
        b.mix,
        this.sampleRate,
        lastGain(matches.outputMatch, document),
        mixes.loudness.loudness,
        mixes.peakDbtp,
      ),
      addedPercent: share,
      waveform: envelope(clean.planes, WAVEFORM_COLUMNS),
      regionStartSeconds: region[0] / this.sampleRate,
      loudestColour: loudestColour(first, b.mix, bestGain(first, b.mix), region[0], this.sampleRate),
    };
    onProgress?.(1);
    this.last = { key, result };
    return result;
  }

  /** Clean mix and sides with their gains; what an earlier call computed and nothing moved since is kept. */
  private *mixed(
    document: SessionDocument,
    onProgress: ((share: number) => void) | undefined,
    sides: SideRacks,
  ): Generator<void, Mixed | null> {
    this.align(document);
    const region = this.region(document);
    if (region[1] <= region[0]) return null;
    const count = (document.channels.length + document.buses.length + 1) * (sides.a ? 2 : 1);
    let done = 0;
    const step = () => onProgress?.(++done / count);
    const clean = this.clean(document, region);
    yield;
    const b = yield* this.pass(document, sides.b, 'b', region, step);
    const a = sides.a ? yield* this.pass(document, sides.a, 'a', region, step) : null;
    const key = `${clean.key}|${a?.key}|${b.key}|${document.matching}`;
    if (this.lastMixes?.key !== key) {
      const loudness = matchReference(b.mix, this.sampleRate);
      yield;
      const loudnessA = a && matchReference(a.mix, this.sampleRate);
      const outputMatch = matchBetween(clean.reference, loudness, mixTrimDb(sides.b));
      const outputMatchA = loudnessA && matchBetween(clean.reference, loudnessA, sides.a ? mixTrimDb(sides.a) : 0);
      const last = [lastGain(outputMatchA, document), lastGain(outputMatch, document)] as const;
      // Of the signals as they are heard, each after its last gain.
      const addedGain = bestGain(a?.mix ?? clean.planes, b.mix) * dbToGain(last[1] - last[0]);
      const peakDbtpA = a ? truePeak(a.mix, this.sampleRate).dbtp : clean.peakDbtp;
      const peakDbtp = truePeak(b.mix, this.sampleRate).dbtp;
      const headroomDb = commonHeadroomDb([peakDbtpA + last[0], peakDbtp + last[1]]);
      const found = { loudness, loudnessA, outputMatch, outputMatchA, addedGain, peakDbtp, peakDbtpA, headroomDb };
      this.lastMixes = { key, ...found };
    }
    const mixes = this.lastMixes;
    const { outputMatch, outputMatchA, addedGain, headroomDb } = mixes;
    const matches = {
      matchesB: matchesOf(b),
      matchesA: matchesOf(a),
      outputMatch,
      outputMatchA,
      addedGain,
      headroomDb,
    };
    return { key, region, clean, a, b, mixes, matches };
  }

  /**
   * The mix with these racks, each rack matched to its own input (where the document matches at all), without the last
   * gain, and the clean mix beside it; both over the match region, stereo. Null for an empty region. Racks that nothing
   * changed for since the last call are not rendered again.
   */
  *mixes(
    document: SessionDocument,
    racks: Readonly<Record<RackId, Rack>> = racksOf(document),
  ): Generator<void, { readonly clean: Planes; readonly mix: Planes } | null> {
    this.align(document);
    const region = this.region(document);
    if (region[1] <= region[0]) return null;
    const clean = this.clean(document, region);
    yield;
    const { mix } = yield* this.pass(document, racks, 'b', region, () => undefined);
    return { clean: clean.planes, mix };
  }

  /** The plain sum of everything, kept until a gain, a route or a sound changes. */
  private clean(document: SessionDocument, region: readonly [number, number]): CleanMix {
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
  private *pass(
    document: SessionDocument,
    racks: Readonly<Record<RackId, Rack>>,
    slot: 'a' | 'b',
    region: readonly [number, number],
    step: () => void,
  ): Generator<void, Pass> {
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
      const match = this.matchOf(entry, rack, document);
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
    const match = this.matchOf(entry, rack, document);
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

  /**
   * The gain of one rack right after a move, from the loudest three seconds of its last known input; null when that
   * isn't known or silent. `errorLu` is how far the span was off the whole when both were known, and a share of how far
   * the gain has moved since.
   */
  *provisional(document: SessionDocument, rackId: RackId): Generator<void, MatchFigures | null> {
    this.align(document);
    const entry = this.entries.b.get(rackId);
    const rack = findRack(document, rackId);
    if (!entry || !rack) return null;
    const gain = yield* this.spanGain(entry, rack);
    if (gain === null) return null;
    const gainDb = gain + entry.spanOffsetDb;
    const move = Math.abs(gainDb - (entry.match?.gainDb ?? gainDb));
    return {
      gainDb,
      residualLu: 0,
      matched: true,
      quality: 'provisional',
      errorLu: Math.abs(entry.spanOffsetDb) + SPAN_ERROR_SHARE * move,
      spreadLowLu: null,
      spreadHighLu: null,
    };
  }

  /** Trims that put every stage of a rack at the alignment level; null where its input isn't known or silent. */
  *alignment(document: SessionDocument, rackId: RackId): Generator<void, StageTrims[] | null> {
    this.align(document);
    const entry = this.entries.b.get(rackId);
    const rack = findRack(document, rackId);
    if (!entry || !rack) return null;
    return yield* alignmentTrims(this.renderer, rack, entry.input.planes, this.sampleRate, document.alignmentDbfs);
  }

  /** Taps, histograms, tone and added share of one rack; null before `analyse` has rendered it. */
  *details(document: SessionDocument, rackId: RackId): Generator<void, RackDetails | null> {
    const entry = this.entries.b.get(rackId);
    const rack = findRack(document, rackId);
    if (!entry || !rack) return null;
    const config = rackConfig(rack, false);
    const taps: TapLevels[] = [tapOf(entry.input.figures)];
    const histograms: Float64Array[] = [];
    const loops: (StageLoop | null)[] = [];
    let signal = entry.input.planes;
    for (let i = 0; i < config.stages.length; i++) {
      const stage = rack.stages[i];
      const trimIn = typeof stage.params.trimIn === 'number' ? stage.params.trimIn : 0;
      histograms.push(histogram(signal, dbToGain(trimIn), curveRange(document.alignmentDbfs)));
      loops.push(
        hasMemory(stage)
          ? yield* stageLoop(this.quick, stage, config.stages[i], signal, this.sampleRate, document.alignmentDbfs)
          : null,
      );
      signal =
        i === config.stages.length - 1
          ? entry.output
          : yield* this.quick.render({ ...config, stages: config.stages.slice(0, i + 1) }, entry.input.planes);
      taps.push(tapOf(sideFigures(signal, this.sampleRate)));
      yield;
    }
    const matched = scaled(entry.output, this.matchOf(entry, rack, document));
    const before = thirdOctavePowers(entry.input.planes, this.sampleRate);
    yield;
    const after = thirdOctavePowers(matched, this.sampleRate);
    yield;
    return {
      taps,
      histograms,
      loops,
      toneDb: thirdOctaveDifference(before, after, TONE_FLOOR_DB),
      addedPercent: config.stages.length > 0 ? yield* addedPercent(entry.input.planes, entry.output) : 0,
    };
  }

  /** Match gain as an amplitude ratio, as it is heard. */
  private matchOf(entry: RackEntry, rack: Rack, document: SessionDocument): number {
    return rackConfig({ ...rack, matchGainDb: entry.match?.gainDb ?? null }, document.matching).match;
  }

  private align(document: SessionDocument): void {
    if (document.alignmentDbfs === this.alignmentDbfs) return;
    this.alignmentDbfs = document.alignmentDbfs;
    this.renderer = new RackRenderer(this.sampleRate, this.factor, this.alignmentDbfs);
    this.quick = new RackRenderer(this.sampleRate, 4, this.alignmentDbfs, true);
    this.entries.a.clear();
    this.entries.b.clear();
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

  private *spanGain({ input }: RackEntry, rack: Rack): Generator<void, number | null> {
    const { planes, span } = input;
    const lead = spanLead(span[0], this.sampleRate);
    const heard = planes.map((plane) => plane.subarray(span[0] - lead, span[1]));
    const output = yield* this.quick.render(rackConfig(rack, false), heard);
    return spanMatch(heard, output, [lead, heard[0].length], this.sampleRate);
  }
}

function matchesOf(pass: Pass | null): Record<RackId, MatchFigures | null> {
  return Object.fromEntries(Object.entries(pass?.racks ?? {}).map(([id, { entry }]) => [id, entry.match]));
}

/**
 * The mix's trim by hand, dB: the last gain aims so much above the clean mix. (It is in the mix rack's gain as well; a
 * last gain that aimed at the clean mix itself would take it back.)
 */
function mixTrimDb(racks: Readonly<Record<RackId, Rack>>): Decibels {
  const rack = racks[MIX_ID];
  return rack?.on && rack.stages.length > 0 ? rack.matchTrimDb : 0;
}

/** The last gain as it is heard, dB. */
function lastGain(match: MatchFigures | null, { matching }: SessionDocument): number {
  return matching ? (match?.gainDb ?? 0) : 0;
}

/** Every rack as the document has it. */
function racksOf(document: SessionDocument): Record<RackId, Rack> {
  return Object.fromEntries(rackIds(document).map((id) => [id, findRack(document, id) as Rack]));
}

function resultOf(entry: RackEntry, document: SessionDocument, rack: Rack): RackResult {
  const matched = document.matching && rack.on && rack.stages.length > 0;
  const gain = matched ? (entry.match?.gainDb ?? 0) + rack.matchTrimDb : 0;
  const moved = (value: number | null) => (value === null ? null : value + gain);
  const output = entry.figures;
  return {
    match: entry.match,
    amplitudes: entry.amplitudes,
    input: entry.input.figures,
    output: {
      ...output,
      integratedLufs: moved(output.integratedLufs),
      truePeakDbtp: moved(output.truePeakDbtp),
      positivePeakDbfs: moved(output.positivePeakDbfs),
      negativePeakDbfs: moved(output.negativePeakDbfs),
      dcDbfs: moved(output.dcDbfs),
    },
  };
}

function tapOf({ truePeakDbtp, integratedLufs }: SideFigures): TapLevels {
  return { truePeakDbtp, integratedLufs };
}
