import { THIRD_OCTAVE_NAMES } from '../dsp/third-octaves.ts';
import type { StageTrims } from '../measure/alignment.ts';
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
import { shortenedRegion } from '../measure/match-region.ts';
import { stageFace } from '../measure/stage-face.ts';
import type { BenchResult } from '../measure/tone-bench/result.ts';
import type { BenchSpec } from '../measure/tone-bench/spec.ts';
import type { RackId, Region, SessionDocument, Stage } from '../session/document.ts';
import { findRack } from '../session/document.ts';
import { drivenStage } from '../session/drive.ts';
import type { AnalysisStore } from '../stores/analysis-store.ts';
import { Notifier } from '../stores/observable.ts';
import AnalysisWorker from './analysis.worker.ts?worker';
import type { FromWorker, ToWorker } from './analysis-protocol.ts';
import { AnalysisSources } from './analysis-sources.ts';
import { BenchRequests } from './bench-requests.ts';

type AlignmentTrims = Readonly<Record<RackId, readonly StageTrims[] | null>>;

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

  private readonly worker = new AnalysisWorker();
  private serial = 0;
  private document: SessionDocument | null = null;
  private selected: RackId = 'mix';
  private result: SessionResult | null = null;
  /** Newer than the result's: provisional ones, then exact ones until their figures come. */
  private readonly newer = new Map<RackId, MatchFigures>();
  private newerOutput: MatchFigures | null = null;
  private newerHeadroomDb: number | null = null;
  private readonly details = new Map<
    RackId,
    { readonly details: RackDetails; readonly serial: number; readonly stageIds: readonly string[] }
  >();
  private readonly sources = new AnalysisSources((message) => this.send(message));
  private readonly faces = new WeakMap<
    Stage,
    { readonly face: StageFace | null; readonly alignmentDbfs: number; readonly macroDriveDb: number }
  >();
  private readonly resampling = new Map<number, (planes: readonly Float32Array[]) => void>();
  private resampleId = 0;
  private readonly aligning = new Map<number, (trims: AlignmentTrims) => void>();
  private alignId = 0;
  private readonly benches = new BenchRequests((message) => this.send(message));

  constructor(private readonly events: AnalysisEvents) {
    super();
    this.worker.addEventListener('message', ({ data }: MessageEvent<FromWorker>) => this.receive(data));
    this.worker.addEventListener('error', () => {
      this.status = 'failed';
      this.benches.failAll('The analysis stopped. Reload the page; the session is kept.');
      events.fault('The analysis stopped. Reload the page; the session is kept.');
      this.notify();
    });
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
  load(document: SessionDocument, planes: ReadonlyMap<string, readonly Float32Array[]>): void {
    this.result = null;
    this.newer.clear();
    this.newerOutput = null;
    this.newerHeadroomDb = null;
    this.details.clear();
    this.sources.clear();
    this.document = document;
    this.send({ type: 'configure', sampleRate: document.sampleRate, alignmentDbfs: document.alignmentDbfs });
    this.update(document, planes, null);
  }

  /** The document changed. @param moved the rack whose parameters moved, when it was only that */
  update(document: SessionDocument, planes: ReadonlyMap<string, readonly Float32Array[]>, moved: RackId | null): void {
    this.sources.follow(document, planes);
    this.document = document;
    this.ask(moved);
  }

  /** Gains that came from here were written into the document: nothing to compute anew. */
  adopt(document: SessionDocument): void {
    this.document = document;
  }

  select(rackId: RackId): void {
    this.selected = rackId;
    if (this.document && this.details.get(rackId)?.serial !== this.serial) this.ask(null);
  }

  /** Resamples off the main thread. */
  resample(planes: readonly Float32Array[], from: number, to: number): Promise<readonly Float32Array[]> {
    if (from === to) return Promise.resolve(planes);
    this.resampleId++;
    const id = this.resampleId;
    return new Promise((resolve) => {
      this.resampling.set(id, resolve);
      this.send({ type: 'resample', id, planes, from, to });
    });
  }

  /**
   * Measures a rack on the tone bench, in the worker and without sound. A newer request of the same panel cancels the
   * older one, which is rejected with `BenchCancelled`; what can't be measured is rejected with an Error whose message
   * is a sentence for the user.
   */
  bench(spec: BenchSpec, panel = 'bench'): Promise<BenchResult> {
    return this.benches.ask(spec, panel);
  }

  /** What one more stage at the end of a rack would get, as last known; null before anything is. */
  amplitudesAfter(rackId: RackId): Amplitudes | null {
    return this.result?.racks[rackId]?.amplitudes ?? null;
  }

  /** Trims that put the stages of these racks at the alignment level; null for a rack whose input is silent. */
  alignment(document: SessionDocument, rackIds: readonly RackId[]): Promise<AlignmentTrims> {
    this.alignId++;
    const id = this.alignId;
    return new Promise((resolve) => {
      this.aligning.set(id, resolve);
      this.send({ type: 'alignment', id, document, rackIds });
    });
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

  /** A stage's face as the macro leaves it, kept until the stage, the macro or the alignment level changes. */
  private face(stage: Stage): StageFace | null {
    const { alignmentDbfs = -18, macroDriveDb = 0 } = this.document ?? {};
    const known = this.faces.get(stage);
    if (known?.alignmentDbfs === alignmentDbfs && known.macroDriveDb === macroDriveDb) return known.face;
    const face = stageFace(drivenStage(stage, macroDriveDb), alignmentDbfs);
    this.faces.set(stage, { face, alignmentDbfs, macroDriveDb });
    return face;
  }

  private reason(known: boolean): string | null {
    if (known) return null;
    if (this.sources.isEmpty) return 'There is no sound in the session yet: add audio files.';
    return this.status === 'working' ? 'The figures are being computed.' : 'There are no figures for this rack.';
  }

  private ask(moved: RackId | null): void {
    if (!this.document) return;
    this.serial++;
    this.status = 'working';
    this.progress = 0;
    // What was heard blind is no figure's business, and long.
    const document = { ...this.document, trials: [] };
    this.send({ type: 'document', document, moved, selected: this.selected, serial: this.serial });
  }

  private send(message: ToWorker): void {
    this.worker.postMessage(message);
  }

  private receive(message: FromWorker): void {
    if (message.type === 'aligned') {
      this.aligning.get(message.id)?.(message.trims);
      this.aligning.delete(message.id);
      return;
    }
    if (message.type === 'resampled') {
      this.resampling.get(message.id)?.(message.planes);
      this.resampling.delete(message.id);
      return;
    }
    if (message.type === 'benched' || message.type === 'benchFailed') {
      this.benches.receive(message);
      return;
    }
    // An answer to an older document says nothing about this one, but a provisional gain is still the best known.
    if (message.serial !== this.serial && message.type !== 'provisional') return;
    switch (message.type) {
      case 'provisional':
        this.newer.set(message.rackId, message.match);
        this.events.provisional(message.rackId, message.match);
        break;
      case 'progress':
        this.progress = message.share;
        break;
      case 'matched':
        for (const [id, match] of Object.entries(message.matches.matchesB)) if (match) this.newer.set(id, match);
        this.newerOutput = message.matches.outputMatch;
        this.newerHeadroomDb = message.matches.headroomDb;
        this.events.matched(message.matches);
        break;
      case 'exact':
        this.result = message.result;
        this.newer.clear();
        this.newerOutput = null;
        this.newerHeadroomDb = null;
        this.progress = 1;
        break;
      case 'details':
        if (message.details) {
          const { rackId, details, serial } = message;
          const stageIds = this.document ? (findRack(this.document, rackId)?.stages ?? []).map(({ id }) => id) : [];
          this.details.set(rackId, { details, serial, stageIds });
        }
        this.status = 'idle';
        break;
      case 'failed':
        this.status = 'failed';
        this.events.fault(message.text);
        break;
    }
    this.notify();
  }
}
