import { blockEnergies } from '../dsp/loudness.ts';
import { thirdOctaveDifference, thirdOctavePowers } from '../dsp/third-octaves.ts';
import { clamp, dbToGain, gainToDb, orNull } from '../dsp/units.ts';
import type { Rack, RackId, SessionDocument } from '../session/document.ts';
import { findRack, MIX_ID } from '../session/document.ts';
import { addedPercent, bestGain } from './added-share.ts';
import { rackConfig } from './engine-config.ts';
import type { MatchFigures, SideFigures, TapLevels } from './figures.ts';
import type { MatchReference } from './match.ts';
import { exactMatch, loudestSpan, matchReference } from './match.ts';
import type { Planes } from './rack-renderer.ts';
import { RackRenderer } from './rack-renderer.ts';
import { addInto, envelope, panGains, scaled, silence } from './session-graph.ts';
import { sideFigures } from './side-figures.ts';
import { curveRange } from './stage-face.ts';

/** One rack over the match region, kept until its input or its settings change. */
interface Entry {
  readonly inputKey: string;
  readonly configKey: string;
  readonly input: Planes;
  readonly reference: MatchReference;
  /** Frames of the loudest three seconds, where a provisional match listens. */
  readonly span: readonly [number, number];
  /** Before the match gain. */
  readonly output: Planes;
  readonly match: MatchFigures | null;
  /** Exact gain less the one from the span alone, dB. */
  readonly spanOffsetDb: number;
  readonly inputFigures: SideFigures;
  readonly outputFigures: SideFigures;
}

export interface RackResult {
  readonly match: MatchFigures | null;
  readonly input: SideFigures;
  readonly output: SideFigures;
}

export interface SessionResult {
  readonly racks: Readonly<Record<RackId, RackResult>>;
  readonly outputMatch: MatchFigures | null;
  readonly clean: SideFigures;
  readonly coloured: SideFigures;
  readonly addedPercent: number | null;
  /** Gain of the clean mix that leaves least of the coloured one: what "added" subtracts. */
  readonly addedGain: number;
  readonly waveform: Float32Array;
  readonly regionStartSeconds: number;
  readonly loudestColour: readonly number[];
}

/** What only the shown rack needs. */
export interface RackDetails {
  readonly taps: readonly TapLevels[];
  /** Per stage, the programme's amplitude histogram at the curve's input. */
  readonly histograms: readonly Float64Array[];
  readonly toneDb: readonly (number | null)[];
  readonly addedPercent: number | null;
}

const WAVEFORM_COLUMNS = 2400;
const HISTOGRAM_BINS = 64;
/** Bands this far below the strongest are not heard beside it: their difference would be a tall bar for nothing. */
const TONE_FLOOR_DB = 60;
const SPAN_LEAD_SECONDS = 0.3;
/**
 * The loudest seconds are bent more by a move than the whole. On ten seconds of piano, guitar and tabla, moved by up to
 * 12 dB of drive, the gain was off by at most 0.27 of its own move, beyond what it was off by before.
 */
const SPAN_ERROR_SHARE = 0.35;
/** A longer session without a region is analysed over this much of its middle, so that a tab's memory holds it. */
export const LONGEST_REGION_SECONDS = 240;

/**
 * Measures and matches a session over its match region, rack by rack in the order of the signal path, with the same
 * kernels as the engine. Results of racks that nothing changed for are kept, so that one move costs that rack and
 * those after it. Every method is a generator that yields about every 10 ms: a job that is out of date is just dropped.
 */
export class SessionAnalysis {
  private readonly sources = new Map<string, { planes: Planes; version: number }>();
  private readonly entries = new Map<RackId, Entry>();
  private renderer: RackRenderer;
  private cleanMix: { key: string; planes: Planes; reference: MatchReference; figures: SideFigures } | null = null;
  private last: { readonly key: string; readonly result: SessionResult } | null = null;
  private version = 0;

  constructor(
    private readonly sampleRate: number,
    private alignmentDbfs: number,
    private readonly factor: 4 | 8 = 4,
  ) {
    this.renderer = new RackRenderer(sampleRate, factor, alignmentDbfs);
  }

  /** A channel's sound at the session's rate, one or two planes; null takes it away. */
  setSource(channelId: string, planes: Planes | null): void {
    this.version++;
    if (planes) this.sources.set(channelId, { planes, version: this.version });
    else this.sources.delete(channelId);
  }

  /** Length of the session, frames. */
  get frames(): number {
    let most = 0;
    for (const { planes } of this.sources.values()) most = Math.max(most, planes[0].length);
    return most;
  }

  /** The match region in frames. */
  region(document: SessionDocument): readonly [number, number] {
    const { frames, sampleRate } = this;
    const asked = document.matchRegion;
    if (asked) {
      const start = clamp(Math.round(asked.startSeconds * sampleRate), 0, frames);
      const end = clamp(Math.round(asked.endSeconds * sampleRate), start, frames);
      if (end > start) return [start, end];
    }
    const longest = LONGEST_REGION_SECONDS * sampleRate;
    if (frames <= longest) return [0, frames];
    const start = Math.round((frames - longest) / 2);
    return [start, start + longest];
  }

  /** Everything, exactly. @param onProgress share done, 0 to 1 */
  *analyse(document: SessionDocument, onProgress?: (share: number) => void): Generator<void, SessionResult | null> {
    this.align(document);
    const [start, end] = this.region(document);
    if (end <= start) return null;
    const count = document.channels.length + document.buses.length + 2;
    let done = 0;
    const step = () => onProgress?.(++done / count);
    const racks: Record<RackId, RackResult> = {};
    const sums = new Map<string, { cleanKey: string; key: string; clean: Float32Array[]; coloured: Float32Array[] }>();
    const sumOf = (id: string) => {
      let sum = sums.get(id);
      if (!sum) {
        sum = { cleanKey: '', key: '', clean: silence(end - start), coloured: silence(end - start) };
        sums.set(id, sum);
      }
      return sum;
    };
    for (const channel of document.channels) {
      const source = this.sources.get(channel.id);
      if (!source) continue;
      const input = source.planes.map((plane) => slice(plane, start, end));
      const inputKey = `${channel.id}:${source.version}:${start}-${end}`;
      const entry = yield* this.rackEntry(channel.id, channel.rack, input, inputKey);
      racks[channel.id] = resultOf(entry, document, channel.rack);
      const [left, right] = panGains(dbToGain(channel.gainDb), channel.pan / 100);
      const match = this.matchOf(entry, channel.rack, document);
      const sum = sumOf(document.buses.some(({ id }) => id === channel.busId) ? (channel.busId as string) : MIX_ID);
      sum.cleanKey += `${inputKey}*${left}*${right};`;
      sum.key += `${inputKey}${entry.configKey}*${match}*${left}*${right};`;
      addInto(sum.clean, input, 1, left, right);
      addInto(sum.coloured, entry.output, match, left, right);
      step();
      yield;
    }
    const mix = sumOf(MIX_ID);
    for (const bus of document.buses) {
      const sum = sumOf(bus.id);
      const entry = yield* this.rackEntry(bus.id, bus.rack, sum.coloured, `${bus.id}:${sum.key}`);
      racks[bus.id] = resultOf(entry, document, bus.rack);
      const gain = dbToGain(bus.gainDb);
      const match = this.matchOf(entry, bus.rack, document);
      mix.cleanKey += `(${sum.cleanKey})*${gain};`;
      mix.key += `(${sum.key})${entry.configKey}*${match}*${gain};`;
      addInto(mix.clean, sum.clean, 1, gain, gain);
      addInto(mix.coloured, entry.output, match, gain, gain);
      step();
      yield;
    }
    const { rack } = document.mix;
    const entry = yield* this.rackEntry(MIX_ID, rack, mix.coloured, `${MIX_ID}:${mix.key}`);
    racks[MIX_ID] = resultOf(entry, document, rack);
    step();
    if (this.cleanMix?.key !== mix.cleanKey) {
      this.cleanMix = {
        key: mix.cleanKey,
        planes: mix.clean,
        reference: matchReference(mix.clean, this.sampleRate),
        figures: sideFigures(mix.clean, this.sampleRate),
      };
    }
    const { planes: clean, reference, figures } = this.cleanMix;
    const mixMatch = this.matchOf(entry, rack, document);
    const key = `${mix.cleanKey}|${entry.inputKey}|${entry.configKey}|${mixMatch}|${document.matching}`;
    if (this.last?.key === key) return { ...this.last.result, racks };
    const coloured = scaled(entry.output, mixMatch);
    const output = exactMatch(reference, coloured, this.sampleRate);
    const outputGain = document.matching ? (output?.gainDb ?? 0) : 0;
    const colouredFigures = sideFigures(coloured, this.sampleRate, outputGain);
    const share = yield* addedPercent(clean, coloured);
    const gain = bestGain(clean, coloured) * dbToGain(outputGain);
    step();
    const result: SessionResult = {
      racks,
      outputMatch: output,
      clean: figures,
      coloured: colouredFigures,
      addedPercent: share,
      addedGain: gain,
      waveform: envelope(clean, WAVEFORM_COLUMNS),
      regionStartSeconds: start / this.sampleRate,
      loudestColour: this.loudestColour(clean, coloured, gain / dbToGain(outputGain), start),
    };
    this.last = { key, result };
    return result;
  }

  /**
   * The gain of one rack right after a move, from the loudest three seconds of its last known input; null when that
   * isn't known or silent. `errorLu` is how far the span was off the whole when both were known, and a share of how far
   * the gain has moved since.
   */
  *provisional(document: SessionDocument, rackId: RackId): Generator<void, MatchFigures | null> {
    this.align(document);
    const entry = this.entries.get(rackId);
    const rack = findRack(document, rackId);
    if (!entry || !rack) return null;
    const gain = yield* this.spanGain(entry, rack);
    if (gain === null) return null;
    const gainDb = gain + entry.spanOffsetDb;
    const move = Math.abs(gainDb - (entry.match?.gainDb ?? gainDb));
    return {
      gainDb,
      residualLu: 0,
      quality: 'provisional',
      errorLu: Math.abs(entry.spanOffsetDb) + SPAN_ERROR_SHARE * move,
      spreadLowLu: null,
      spreadHighLu: null,
    };
  }

  /** Taps, histograms, tone and added share of one rack; null before `analyse` has rendered it. */
  *details(document: SessionDocument, rackId: RackId): Generator<void, RackDetails | null> {
    const entry = this.entries.get(rackId);
    const rack = findRack(document, rackId);
    if (!entry || !rack) return null;
    const config = rackConfig(rack, false);
    const taps: TapLevels[] = [tapOf(entry.inputFigures)];
    const histograms: Float64Array[] = [];
    let signal = entry.input;
    for (let i = 0; i < config.stages.length; i++) {
      const stage = rack.stages[i];
      const trimIn = typeof stage.params.trimIn === 'number' ? stage.params.trimIn : 0;
      histograms.push(histogram(signal, dbToGain(trimIn), curveRange(document.alignmentDbfs)));
      signal =
        i === config.stages.length - 1
          ? entry.output
          : yield* this.renderer.render({ ...config, stages: config.stages.slice(0, i + 1) }, entry.input);
      taps.push(tapOf(sideFigures(signal, this.sampleRate)));
      yield;
    }
    const matched = scaled(entry.output, this.matchOf(entry, rack, document));
    const before = thirdOctavePowers(entry.input, this.sampleRate);
    yield;
    const after = thirdOctavePowers(matched, this.sampleRate);
    yield;
    return {
      taps,
      histograms,
      toneDb: thirdOctaveDifference(before, after, TONE_FLOOR_DB),
      addedPercent: config.stages.length > 0 ? yield* addedPercent(entry.input, entry.output) : 0,
    };
  }

  /** Match gain as an amplitude ratio, as it is heard. */
  private matchOf(entry: Entry, rack: Rack, document: SessionDocument): number {
    return rackConfig({ ...rack, matchGainDb: entry.match?.gainDb ?? null }, document.matching).match;
  }

  private align(document: SessionDocument): void {
    if (document.alignmentDbfs === this.alignmentDbfs) return;
    this.alignmentDbfs = document.alignmentDbfs;
    this.renderer = new RackRenderer(this.sampleRate, this.factor, this.alignmentDbfs);
    this.entries.clear();
  }

  private *rackEntry(rackId: RackId, rack: Rack, input: Planes, inputKey: string): Generator<void, Entry> {
    const known = this.entries.get(rackId);
    const config = rackConfig(rack, false);
    const configKey = JSON.stringify([config.on, config.stages.map(({ kind, on, values }) => [kind, on, values])]);
    if (known?.inputKey === inputKey && known.configKey === configKey) return known;
    const sameInput = known?.inputKey === inputKey;
    const reference = sameInput ? known.reference : matchReference(input, this.sampleRate);
    const inputFigures = sameInput ? known.inputFigures : sideFigures(input, this.sampleRate);
    yield;
    const empty = !config.on || config.stages.length === 0;
    const output = empty ? input : yield* this.renderer.render(config, input);
    const match = exactMatch(reference, output, this.sampleRate);
    yield;
    const gainDb = match?.gainDb ?? 0;
    const span = loudestSpan(reference.energies, this.sampleRate, input[0].length);
    const spanDb = spanMatch(input, output, span, this.sampleRate);
    const entry: Entry = {
      inputKey,
      configKey,
      input,
      reference,
      span,
      output,
      match,
      spanOffsetDb: spanDb === null ? 0 : gainDb - spanDb,
      inputFigures,
      outputFigures: empty ? inputFigures : sideFigures(output, this.sampleRate),
    };
    this.entries.set(rackId, entry);
    return entry;
  }

  private *spanGain(entry: Entry, rack: Rack): Generator<void, number | null> {
    const lead = Math.min(entry.span[0], Math.round(SPAN_LEAD_SECONDS * this.sampleRate));
    const input = entry.input.map((plane) => plane.subarray(entry.span[0] - lead, entry.span[1]));
    const output = yield* this.renderer.render(rackConfig(rack, false), input);
    return spanMatch(input, output, [lead, input[0].length], this.sampleRate);
  }

  /** Up to three times at least two seconds apart where the difference of the sides is strongest, seconds. */
  private loudestColour(clean: Planes, coloured: Planes, gain: number, start: number): number[] {
    const hop = Math.round(0.25 * this.sampleRate);
    const count = Math.floor(clean[0].length / hop);
    const blocks = Array.from({ length: count }, (_, block) => {
      let sum = 0;
      for (let side = 0; side < coloured.length; side++) {
        const a = clean[side];
        const b = coloured[side];
        for (let i = block * hop; i < (block + 1) * hop; i++) sum += (b[i] - gain * a[i]) ** 2;
      }
      return { seconds: (start + block * hop) / this.sampleRate, level: gainToDb(Math.sqrt(sum / hop)) };
    });
    blocks.sort((a, b) => b.level - a.level);
    const found: number[] = [];
    for (const { seconds, level } of blocks) {
      if (found.length === 3 || level < -100) break;
      if (found.every((other) => Math.abs(other - seconds) >= 2)) found.push(seconds);
    }
    return found;
  }
}

/** Match gain over one span of both signals, whole blocks only, dB; the K-filter gets the time before it to settle. */
function spanMatch(
  input: Planes,
  output: Planes,
  [from, to]: readonly [number, number],
  sampleRate: number,
): number | null {
  const lead = Math.min(from, Math.round(SPAN_LEAD_SECONDS * sampleRate));
  const energy = (planes: Planes) => {
    const blocks = blockEnergies(
      planes.map((plane) => plane.subarray(from - lead, to)),
      sampleRate,
    );
    return blocks.subarray(Math.min(blocks.length, Math.round(lead / sampleRate / 0.1))).reduce((a, b) => a + b, 0);
  };
  const before = energy(input);
  const after = energy(output);
  return before > 0 && after > 0 ? orNull(10 * Math.log10(before / after)) : null;
}

function resultOf(entry: Entry, document: SessionDocument, rack: Rack): RackResult {
  const matched = document.matching && rack.on && rack.stages.length > 0;
  const gain = matched ? (entry.match?.gainDb ?? 0) + rack.matchTrimDb : 0;
  const moved = (value: number | null) => (value === null ? null : value + gain);
  const output = entry.outputFigures;
  return {
    match: entry.match,
    input: entry.inputFigures,
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

/** Frames `start` to `end`, filled up with silence where the source is shorter. */
function slice(plane: Float32Array, start: number, end: number): Float32Array {
  if (end <= plane.length) return plane.subarray(start, end);
  const out = new Float32Array(end - start);
  if (start < plane.length) out.set(plane.subarray(start));
  return out;
}

/** Counts of |gain·x| over ±range in HISTOGRAM_BINS bins, relative to the fullest. Every fourth sample is enough. */
function histogram(planes: Planes, gain: number, range: number): Float64Array {
  const counts = new Float64Array(HISTOGRAM_BINS);
  for (const plane of planes) {
    for (let i = 0; i < plane.length; i += 4) {
      const bin = Math.floor(((gain * plane[i]) / range + 1) * 0.5 * HISTOGRAM_BINS);
      if (bin >= 0 && bin < HISTOGRAM_BINS) counts[bin]++;
    }
  }
  const most = counts.reduce((a, b) => Math.max(a, b), 0);
  return most > 0 ? counts.map((count) => count / most) : counts;
}
