/**
 * What the components receive by context. They import these types only; `main.ts` provides the real stores, and a
 * component's test provides its own.
 */
import { createContext } from '@lit/context';
import type { AnalyserSettings, LiveFrame } from '../../audio/live-frame.ts';
import type { RackLevels } from '../../audio/live-levels.ts';
import type { MatchFigures, RackFigures, SideFigures } from '../../measure/figures.ts';
import type { BenchResult } from '../../measure/tone-bench/result.ts';
import type { BenchTest, BenchTestId } from '../../measure/tone-bench/spec.ts';
import type { Command } from '../../session/commands.ts';
import type { RackId, Region, SessionDocument } from '../../session/document.ts';
import type { FileStore } from './file-store.ts';

export type { AnalyserSettings, LiveFrame, LowBand, StrongestTone } from '../../audio/live-frame.ts';
export type { RackLevels as LiveLevels, SideLevels } from '../../audio/live-levels.ts';
export type { MatchFigures, RackFigures, SideFigures, StageFace, TapLevels } from '../../measure/figures.ts';
export type {
  BenchFloor,
  BenchPoint,
  BenchProduct,
  BenchResult,
  BenchTone,
  StackTable,
  ToneFigures,
} from '../../measure/tone-bench/result.ts';
export type { BenchParameter, BenchTest, BenchTestId } from '../../measure/tone-bench/spec.ts';

/** Something that changes and says so. Components hold one by `store` (store-controller.ts). */
export interface Observable {
  /** Calls `listener` after every change, until the returned function is called. */
  subscribe(listener: () => void): () => void;
}

export interface SessionStore extends Observable {
  readonly document: SessionDocument;
  dispatch(command: Command): void;
  undo(): void;
  redo(): void;
  readonly canUndo: boolean;
  readonly canRedo: boolean;
  /** What the next undo takes back, as a part of a sentence; null where there is nothing to. */
  readonly undoAbout: string | null;
  readonly redoAbout: string | null;
  /** What undo or redo did last, as a sentence; null once something else was done. */
  readonly undone: string | null;
  /** False for the demo as it comes and for an empty session: nothing is lost with them. */
  readonly isWorthKeeping: boolean;
  /** The rack the screen shows. */
  readonly selectedRack: RackId;
  selectRack(rackId: RackId): void;
  /** Adds a stage of the kind with its defaults at the end of the rack; returns its id. */
  addStage(rackId: RackId, kind: string): string;
  /** The same for several racks, as one step of undo; returns the ids in their order. */
  addStages(rackIds: readonly RackId[], kind: string): string[];
  /** A new bus, into which these channels play from now on; returns its id, or null when there is no room. */
  addBus(channelIds: readonly string[]): string | null;
  /** Brings the user's own audio files in, as channels of the current session. */
  addFiles(files: readonly File[]): Promise<void>;
  /** What is known of the session's sound files. */
  readonly files: FileStore;
  /** A new session from these files only (the current one stays stored until then; asks nothing). */
  startNewSession(): void;
  /** Back to the demo session as it came. */
  openDemo(): Promise<void>;
  /** A new id for a scene, a link or a copied stage. */
  newId(what: 'scene' | 'link' | 'stage'): string;
  /** Trims that put every stage of these racks at the alignment level; one step of undo. */
  setToAlignment(rackIds: readonly RackId[]): Promise<void>;
  /** Saves the session as a file: a JSON document, or a ZIP with the sound files in it. False where no file came of it. */
  saveSession(withAudio: boolean): Promise<boolean>;
  /** Opens a session file (JSON or ZIP); what can't be opened is named in a notice and nothing is lost. */
  openSession(file: File): Promise<void>;
}

export type Side = 'clean' | 'coloured' | 'added';
export type PlayerState = 'idle' | 'loading' | 'ready' | 'starting' | 'running' | 'failed';

export interface PlayerStore extends Observable {
  readonly state: PlayerState;
  readonly playing: boolean;
  readonly side: Side;
  readonly durationSeconds: number;
  /** Where the sound is now; read it in animation frames. */
  positionSeconds(): number;
  play(): Promise<void>;
  stop(): void;
  seek(seconds: number): void;
  setSide(side: Side): void;
  /** Silence at once, until released. */
  readonly panic: boolean;
  setPanic(on: boolean): void;
  /** True for some seconds after the output guard had to act. */
  readonly guardActing: boolean;
  /** Monitor level, dB, −60 to 0; not part of the session's export. */
  readonly monitorDb: number;
  setMonitorDb(db: number): void;
}

/** A sentence for the user, with its weight. */
export interface Notice {
  readonly id: number;
  readonly kind: 'info' | 'warning' | 'fault';
  readonly text: string;
  /** What can be done about it with one press. */
  readonly action?: { readonly label: string; run(): void };
}

export interface NoticeStore extends Observable {
  readonly notices: readonly Notice[];
  dismiss(id: number): void;
}

export interface AnalysisStore extends Observable {
  /** `idle`: all figures are of the document as it is. */
  readonly status: 'idle' | 'working' | 'failed';
  /** Share of the exact work done, 0 to 1. */
  readonly progress: number;
  rack(rackId: RackId): RackFigures | undefined;
  /** The whole session at the mix output. */
  readonly clean: SideFigures | null;
  readonly coloured: SideFigures | null;
  /** The mix's last gain: full BS.1770 loudness of coloured against clean. */
  readonly mixMatch: MatchFigures | null;
  /** How far both sides are lowered together while they are heard, so that neither is limited alone: dB, 0 or less. */
  readonly headroomDb: number | null;
  /** What was matched, where memory doesn't hold all that the document asks for; null where it does. */
  readonly shortened: Region | null;
  readonly addedPercent: number | null;
  /** Third-octave mid-band frequencies of every `toneDb`, Hz. */
  readonly toneFrequencies: readonly number[];
  /** Min/max of the clean mix for the transport's waveform: [min0, max0, min1, max1, …]; null until known. */
  readonly waveform: Float32Array | null;
  /** Times at which the most colour is added, seconds, strongest first. */
  readonly loudestColour: readonly number[];
}

export interface LiveStore extends Observable {
  readonly settings: AnalyserSettings;
  configure(settings: AnalyserSettings): void;
  /** Calls `listener` for each frame outside any render cycle, and with null when none is of what stands here. */
  onFrame(listener: (frame: LiveFrame | null) => void): () => void;
  readonly latest: LiveFrame | null;
}

export interface LevelStore extends Observable {
  /** Of the selected rack; null until sound plays. Listeners are told at most some ten times a second. */
  readonly latest: RackLevels | null;
  /** Starts integrated loudness and all largest values anew. */
  reset(): void;
}

/** A test of one rack as the document has it. */
export interface BenchRequest {
  readonly rackId: RackId;
  readonly test: BenchTestId;
  /** By parameter id; what isn't given has its default. */
  readonly values: Readonly<Record<string, number>>;
}

/**
 * The tone bench. Whoever wires it completes the request to a `BenchSpec` from the document of this moment (rack,
 * sample rate, over-sampling, alignment) and hands it to the analysis, which runs it beside the sound, never in it.
 */
export interface BenchStore extends Observable {
  readonly tests: readonly BenchTest[];
  /** One or two sentences that say that the bench is silent. */
  readonly silent: string;
  /** Rejects with an Error whose message is a sentence for the user. The screen ignores answers it no longer wants. */
  run(request: BenchRequest): Promise<BenchResult>;
}

export const sessionContext = createContext<SessionStore>(Symbol('session'));
export const playerContext = createContext<PlayerStore>(Symbol('player'));
export const analysisContext = createContext<AnalysisStore>(Symbol('analysis'));
export const liveContext = createContext<LiveStore>(Symbol('live'));
export const noticeContext = createContext<NoticeStore>(Symbol('notices'));
export const levelContext = createContext<LevelStore | undefined>(Symbol('levels'));
export const benchContext = createContext<BenchStore | undefined>(Symbol('bench'));
