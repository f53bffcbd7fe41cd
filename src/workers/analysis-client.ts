import { THIRD_OCTAVE_NAMES } from '../dsp/third-octaves.ts';
import type { Amplitudes } from '../measure/amplitudes.ts';
import type {
  MatchFigures,
  RackDetails,
  RackFigures,
  SessionMatches,
  SessionResult,
  SideFigures,
  StageFace,
} from '../measure/figures.ts';
import type { KindFigure } from '../measure/kind-figure.ts';
import { shortenedRegion } from '../measure/match-region.ts';
import type { RackProfile } from '../measure/rack-profile.ts';
import { stageFace } from '../measure/stage-face.ts';
import type { BenchResult } from '../measure/tone-bench/result.ts';
import type { BenchSpec } from '../measure/tone-bench/spec.ts';
import type { Planes } from '../render/rack-renderer.ts';
import type { RackId, Region, SessionDocument, Stage } from '../session/document.ts';
import { findRack } from '../session/document.ts';
import { drivenStage } from '../session/drive.ts';
import type { AnalysisStore } from '../stores/analysis-store.ts';
import { Notifier } from '../stores/observable.ts';
import AnalysisWorker from './analysis.worker.ts?worker';
import type { AlignmentTrims, AnalysisProtocol, FiguresTold } from './analysis-protocol.ts';
import { AnalysisSources } from './analysis-sources.ts';
import { WorkerChannel } from './channel.ts';

type Sounds = ReadonlyMap<string, Planes>;

const STOPPED =
  'The analysis stopped twice, most likely for want of memory. The session is kept: close other tabs, or choose a shorter match region, and reload the page.';

export interface AnalysisEvents {
  /** A gain to be heard at once: provisional ones of one rack. */
  provisional(rackId: RackId, match: MatchFigures): void;
  /** All gains, exactly, for the document as it is. */
  matched(matches: SessionMatches): void;
  fault(text: string): void;
}

/** The analysis as the page sees it: the worker's figures put together with what follows from the document alone. */
export class AnalysisClient extends Notifier implements AnalysisStore {
  status: 'idle' | 'working' | 'failed' = 'idle';
  progress = 0;
  readonly toneFrequencies: readonly number[] = THIRD_OCTAVE_NAMES;

  private readonly channel = new WorkerChannel<AnalysisProtocol>(() => new AnalysisWorker(), {
    stopped: STOPPED,
    news: {
      provisional: ({ rackId, match }) => {
        this.newer.set(rackId, match);
        this.events.provisional(rackId, match);
        this.notify();
      },
    },
    restore: () => {
      if (this.document) this.begin(this.document, this.sounds);
    },
  });
  /** The last request for figures, which ends it where a newer one takes its place. */
  private asked = new AbortController();
  /** The last measurement on the bench, likewise. */
  private measuring = new AbortController();
  /** What was said last: a worker that has stopped refuses everything for the same reason. */
  private said: unknown = null;
  private document: SessionDocument | null = null;
  private sounds: Sounds = new Map();
  private selected: RackId = 'mix';
  private result: SessionResult | null = null;
  /** Newer than the result's: provisional ones, then exact ones until their figures come. */
  private readonly newer = new Map<RackId, MatchFigures>();
  private newerOutput: MatchFigures | null = null;
  private newerHeadroomDb: number | null = null;
  private readonly details = new Map<
    RackId,
    { readonly details: RackDetails; readonly asked: AbortController; readonly stageIds: readonly string[] }
  >();
  private readonly sources = new AnalysisSources((source) => this.channel.note('source', source));
  private readonly faces = new WeakMap<
    Stage,
    { readonly face: StageFace | null; readonly alignmentDbfs: number; readonly allDrivesDb: number }
  >();

  constructor(private readonly events: AnalysisEvents) {
    super();
  }

  get clean(): SideFigures | null {
    return this.result?.clean ?? null;
  }
  get coloured(): SideFigures | null {
    return this.result?.coloured ?? null;
  }
  get mixMatch(): MatchFigures | null {
    return this.newerOutput ?? this.result?.outputMatch ?? null;
  }
  /** How far both sides are lowered together while they are heard, dB; null until it is known. */
  get headroomDb(): number | null {
    return this.newerHeadroomDb ?? this.result?.headroomDb ?? null;
  }
  get addedPercent(): number | null {
    return this.result?.addedPercent ?? null;
  }
  /** What was matched, where memory doesn't hold all that the document asks for. */
  get shortened(): Region | null {
    return this.document && shortenedRegion(this.document, this.sources.extent);
  }
  get waveform(): Float32Array | null {
    return this.result?.waveform ?? null;
  }
  get loudestColour(): readonly number[] {
    return this.result?.loudestColour ?? [];
  }

  /** Forgets everything and starts on a session. */
  load(document: SessionDocument, sounds: Sounds): void {
    this.result = null;
    this.settleGains();
    this.details.clear();
    this.sent(() => this.begin(document, sounds));
    this.update(document, sounds, null);
  }

  /** The document changed. @param moved the rack whose parameters moved, when it was only that */
  update(document: SessionDocument, sounds: Sounds, moved: RackId | null): void {
    this.asked.abort();
    this.document = document;
    this.sounds = sounds;
    if (this.sent(() => this.sources.follow(document, sounds))) this.ask(moved);
  }

  /** Gains that came from here were written into the document: nothing to compute anew. */
  adopt(document: SessionDocument): void {
    this.document = document;
  }

  select(rackId: RackId): void {
    this.selected = rackId;
    if (this.document && this.details.get(rackId)?.asked !== this.asked) this.ask(null);
  }

  /** Resamples off the main thread. @throws WorkerFault */
  async resample(planes: Planes, from: number, to: number): Promise<Planes> {
    return from === to ? planes : this.channel.ask('resample', { planes, from, to });
  }

  /**
   * Measures a rack on the tone bench, in the worker and without sound. A newer request cancels the older one, which is
   * rejected with an AbortError.
   * @throws WorkerFault for what can't be measured
   */
  bench(spec: BenchSpec): Promise<BenchResult> {
    this.measuring.abort(new DOMException('A newer measurement took the place of this one.', 'AbortError'));
    this.measuring = new AbortController();
    return this.channel.ask('bench', spec, { signal: this.measuring.signal });
  }

  /** What one more stage at the end of a rack would get, as last known; null before anything is. */
  amplitudesAfter(rackId: RackId): Amplitudes | null {
    return this.result?.racks[rackId]?.amplitudes ?? null;
  }

  /**
   * Trims that put the stages of these racks at the alignment level; null for a rack whose input is silent.
   * @throws WorkerFault
   */
  alignment(document: SessionDocument, rackIds: readonly RackId[]): Promise<AlignmentTrims> {
    return this.channel.ask('alignment', { document: untried(document), rackIds });
  }

  /**
   * What these stages would do in place of a rack's own.
   * @throws WorkerFault
   */
  profile(document: SessionDocument, rackId: RackId, stages: readonly Stage[]): Promise<RackProfile> {
    return this.channel.ask('profile', { document: untried(document), rackId, stages });
  }

  /**
   * What a stage kind does at its defaults.
   * @throws WorkerFault
   */
  kindFigure(kindId: string, sampleRate: number, operatingDbfs: number): Promise<KindFigure> {
    return this.channel.ask('kind', { kindId, sampleRate, operatingDbfs });
  }

  rack(rackId: RackId): RackFigures | undefined {
    const rack = this.document && findRack(this.document, rackId);
    if (!this.document || !rack) return undefined;
    const result = this.result?.racks[rackId];
    const known = this.details.get(rackId);
    const details = known?.details;
    // Histograms and taps belong to the stages they were taken of; while those are moving, the last ones stay.
    const faces = rack.stages.flatMap((stage) => {
      const face = this.face(stage);
      const index = known?.stageIds.indexOf(stage.id) ?? -1;
      return face
        ? [{ ...face, histogram: details?.histograms[index] ?? null, loop: details?.loops[index] ?? null }]
        : [];
    });
    return {
      rackId,
      reason: this.reason(result !== undefined),
      match: this.newer.get(rackId) ?? result?.match ?? null,
      input: result?.input ?? null,
      output: result?.output ?? null,
      taps: details?.taps ?? [],
      faces,
      toneDb: details?.toneDb ?? null,
      addedPercent: details?.addedPercent ?? null,
    };
  }

  /** A stage's face as all drives leave it, kept until the stage, all drives or the alignment level changes. */
  private face(stage: Stage): StageFace | null {
    const { alignmentDbfs = -18, allDrivesDb = 0 } = this.document ?? {};
    const known = this.faces.get(stage);
    if (known?.alignmentDbfs === alignmentDbfs && known.allDrivesDb === allDrivesDb) return known.face;
    const face = stageFace(drivenStage(stage, allDrivesDb), alignmentDbfs);
    this.faces.set(stage, { face, alignmentDbfs, allDrivesDb });
    return face;
  }

  private reason(known: boolean): string | null {
    if (known) return null;
    if (this.sources.isEmpty) return 'There is no sound in the session yet: add audio files.';
    return this.status === 'working' ? 'The figures are being computed.' : 'There are no figures for this rack.';
  }

  /** Tells a worker that knows nothing yet what it must know. */
  private begin(document: SessionDocument, sounds: Sounds): void {
    const { sampleRate, alignmentDbfs } = document;
    this.sources.clear();
    this.channel.note('configure', { sampleRate, alignmentDbfs });
    this.sources.follow(document, sounds);
  }

  private ask(moved: RackId | null): void {
    if (!this.document) return;
    this.asked.abort();
    const asked = new AbortController();
    this.asked = asked;
    this.status = 'working';
    this.progress = 0;
    const { selected } = this;
    const document = untried(this.document);
    this.channel
      .ask('figures', { document, moved, selected }, { signal: asked.signal, onTold: (told) => this.hear(told) })
      .then((details) => {
        if (details) this.details.set(selected, { details, asked, stageIds: this.stageIds(selected) });
        this.status = 'idle';
        this.notify();
      })
      .catch((fault) => {
        // What was given up for a newer document says nothing about that.
        if (!asked.signal.aborted) this.fail(fault);
      });
  }

  private hear(told: FiguresTold): void {
    if ('share' in told) {
      this.progress = told.share;
    } else if ('matches' in told) {
      const { matches } = told;
      for (const [id, match] of Object.entries(matches.matchesB)) if (match) this.newer.set(id, match);
      this.newerOutput = matches.outputMatch;
      this.newerHeadroomDb = matches.headroomDb;
      this.events.matched(matches);
    } else {
      this.result = told.result;
      this.settleGains();
      this.progress = 1;
    }
    this.notify();
  }

  /** Nothing is newer than the result. */
  private settleGains(): void {
    this.newer.clear();
    this.newerOutput = null;
    this.newerHeadroomDb = null;
  }

  /** False where it can't be sent, which is said. */
  private sent(send: () => void): boolean {
    try {
      send();
      return true;
    } catch (fault) {
      this.fail(fault);
      return false;
    }
  }

  private fail(fault: unknown): void {
    this.status = 'failed';
    if (fault !== this.said) this.events.fault(fault instanceof Error ? fault.message : String(fault));
    this.said = fault;
    this.notify();
  }

  private stageIds(rackId: RackId): string[] {
    const rack = this.document && findRack(this.document, rackId);
    return rack ? rack.stages.map(({ id }) => id) : [];
  }
}

/** What was heard blind is no figure's business, and long. */
function untried(document: SessionDocument): SessionDocument {
  return { ...document, trials: [] };
}
