/**
 * What the components receive by context. They import these types only; `main.ts` provides the real stores, and a
 * component's test provides its own.
 */
import { createContext } from '@lit/context';
import type { MatchFigures, RackFigures, SideFigures } from '../../analysis/figures.ts';
import type { AnalyserSettings, LiveFrame } from '../../audio/live-frame.ts';
import type { Command } from '../../session/commands.ts';
import type { RackId, SessionDocument } from '../../session/document.ts';

export type { MatchFigures, RackFigures, SideFigures, StageFace, TapLevels } from '../../analysis/figures.ts';

export type { AnalyserSettings, LiveFrame, LowBand, StrongestTone } from '../../audio/live-frame.ts';

/** Something that changes and says so. Components subscribe with the `Watch` controller. */
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
  /** The rack the screen shows. */
  readonly selectedRack: RackId;
  selectRack(rackId: RackId): void;
  /** Adds a stage of the kind with its defaults at the end of the rack; returns its id. */
  addStage(rackId: RackId, kind: string): string;
  /** A new bus, into which the channel plays from now on; returns its id, or null when there is no room. */
  addBus(channelId: string | null): string | null;
  /** Brings the user's own audio files in, as channels of the current session. */
  addFiles(files: readonly File[]): Promise<void>;
  /** A new session from these files only (the current one stays stored until then; asks nothing). */
  startNewSession(): void;
  /** Back to the demo session as it came. */
  openDemo(): Promise<void>;
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
  /** Calls `listener` for each frame outside any render cycle. */
  onFrame(listener: (frame: LiveFrame) => void): () => void;
  readonly latest: LiveFrame | null;
}

export const sessionContext = createContext<SessionStore>(Symbol('session'));
export const playerContext = createContext<PlayerStore>(Symbol('player'));
export const analysisContext = createContext<AnalysisStore>(Symbol('analysis'));
export const liveContext = createContext<LiveStore>(Symbol('live'));
export const noticeContext = createContext<NoticeStore>(Symbol('notices'));
