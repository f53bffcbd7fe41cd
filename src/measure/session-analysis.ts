import { truePeak } from '../dsp/true-peak.ts';
import type { Decibels } from '../dsp/units.ts';
import { dbToGain } from '../dsp/units.ts';
import { mixTrimDb } from '../render/engine-config.ts';
import { envelope } from '../render/planes.ts';
import type { Planes } from '../render/rack-renderer.ts';
import { RackRenderer } from '../render/rack-renderer.ts';
import type { Rack, RackId, SessionDocument, Stage } from '../session/document.ts';
import { findRack, MIX_ID, rackIds } from '../session/document.ts';
import { addedPercent, bestGain } from './added-share.ts';
import type { StageTrims } from './alignment.ts';
import { alignmentTrims } from './alignment.ts';
import { commonHeadroomDb } from './common-headroom.ts';
import type { MatchFigures, RackDetails, RackResult, SessionMatches, SessionResult, SideRacks } from './figures.ts';
import { loudestColour } from './loudest-colour.ts';
import type { MatchReference } from './match.ts';
import { matchBetween, matchReference } from './match.ts';
import { provisionalMatch } from './provisional-match.ts';
import { rackDetails } from './rack-details.ts';
import type { RackEntry } from './rack-entry.ts';
import type { RackProfile } from './rack-profile.ts';
import { rackProfile } from './rack-profile.ts';
import type { CleanMix, RenderedSide, SoundPart } from './rendered-session.ts';
import { RenderedSession } from './rendered-session.ts';
import { sideFigures } from './side-figures.ts';

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
  readonly a: RenderedSide | null;
  readonly b: RenderedSide;
  readonly mixes: Mixes;
  readonly matches: SessionMatches;
}

const WAVEFORM_COLUMNS = 2400;
/** Share of an analysis that its gains take, about. */
const GAINS_SHARE = 0.6;
/**
 * Measures and matches a session over its match region, rack by rack in the order of the signal path, with the same
 * kernels as the engine. Results of racks that nothing changed for are kept, so that one move costs that rack and
 * those after it. Every method is a generator that yields about every 10 ms: a job that is out of date is just dropped.
 */
export class SessionAnalysis {
  private readonly rendered: RenderedSession;
  private lastMixes: Mixes | null = null;
  private last: { readonly key: string; readonly result: SessionResult } | null = null;

  /** Of its own, since a profile may be half measured when the session is measured anew. */
  private profiler: { readonly alignmentDbfs: Decibels; readonly renderer: RackRenderer } | null = null;

  constructor(
    private readonly sampleRate: number,
    alignmentDbfs: number,
    private readonly factor: 4 | 8 = 4,
  ) {
    this.rendered = new RenderedSession(sampleRate, alignmentDbfs, factor);
  }

  /** As of `RenderedSession`. */
  setSource(channelId: string, planes: Planes | null, stretch?: SoundPart): void {
    this.rendered.setSource(channelId, planes, stretch);
  }

  /** Length of the session, frames. */
  get frames(): number {
    return this.rendered.frames;
  }

  /** The match region in frames. */
  region(document: SessionDocument): readonly [number, number] {
    return this.rendered.region(document);
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
    this.rendered.align(document);
    const region = this.region(document);
    if (region[1] <= region[0]) return null;
    const count = (document.channels.length + document.buses.length + 1) * (sides.a ? 2 : 1);
    let done = 0;
    const step = () => onProgress?.(++done / count);
    const clean = this.rendered.clean(document, region);
    yield;
    const b = yield* this.rendered.side(document, sides.b, 'b', region, step);
    const a = sides.a ? yield* this.rendered.side(document, sides.a, 'a', region, step) : null;
    const key = `${clean.key}|${a?.key}|${b.key}|${document.matching}`;
    if (this.lastMixes?.key !== key) {
      const loudness = matchReference(b.mix, this.sampleRate);
      yield;
      const loudnessA = a && matchReference(a.mix, this.sampleRate);
      const outputMatch = matchBetween(clean.reference, loudness, mixTrimDb(sides.b[MIX_ID]));
      const outputMatchA = loudnessA && matchBetween(clean.reference, loudnessA, mixTrimDb(sides.a?.[MIX_ID]));
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
    this.rendered.align(document);
    const region = this.region(document);
    if (region[1] <= region[0]) return null;
    const clean = this.rendered.clean(document, region);
    yield;
    const { mix } = yield* this.rendered.side(document, racks, 'b', region, () => undefined);
    return { clean: clean.planes, mix };
  }

  /** The gain of one rack right after a move; null before `analyse` has rendered it, or where it is silent. */
  *provisional(document: SessionDocument, rackId: RackId): Generator<void, MatchFigures | null> {
    this.rendered.align(document);
    const found = this.rendered.rackOf(document, rackId);
    return found && (yield* provisionalMatch(found.entry, found.rack, this.rendered.quick));
  }

  /** Trims that put every stage of a rack at the alignment level; null where its input isn't known or silent. */
  *alignment(document: SessionDocument, rackId: RackId): Generator<void, StageTrims[] | null> {
    this.rendered.align(document);
    const found = this.rendered.rackOf(document, rackId);
    if (!found) return null;
    const { renderer } = this.rendered;
    const { planes } = found.entry.input;
    return yield* alignmentTrims(renderer, found.rack, planes, this.sampleRate, document.alignmentDbfs);
  }

  /** What these stages would do in place of a rack's own: to tones, and to what that rack is given, where that is known. */
  *profile(document: SessionDocument, rackId: RackId, stages: readonly Stage[]): Generator<void, RackProfile> {
    this.rendered.align(document);
    const { sampleRate } = this;
    const { alignmentDbfs } = document;
    if (this.profiler?.alignmentDbfs !== alignmentDbfs) {
      this.profiler = { alignmentDbfs, renderer: new RackRenderer(sampleRate, this.factor, alignmentDbfs) };
    }
    const programme = this.rendered.rackOf(document, rackId)?.entry.input ?? null;
    return yield* rackProfile(this.profiler.renderer, stages, sampleRate, alignmentDbfs, programme);
  }

  /** What only the shown rack needs; null before `analyse` has rendered it. */
  *details(document: SessionDocument, rackId: RackId): Generator<void, RackDetails | null> {
    const found = this.rendered.rackOf(document, rackId);
    return found && (yield* rackDetails(found.entry, found.rack, document, this.rendered.quick));
  }
}

function matchesOf(pass: RenderedSide | null): Record<RackId, MatchFigures | null> {
  return Object.fromEntries(Object.entries(pass?.racks ?? {}).map(([id, { entry }]) => [id, entry.match]));
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
