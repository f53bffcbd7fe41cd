/**
 * What the components receive by context. They import these types only; `main.ts` provides the real stores, and a
 * component's test provides its own.
 */
import { createContext } from '@lit/context';
import type { Command } from '../../session/commands.ts';
import type { RackId, SessionDocument } from '../../session/document.ts';

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

/** Figures of one signal over the match region; what isn't defined is null. */
export interface SideFigures {
  readonly integratedLufs: number | null;
  readonly truePeakDbtp: number | null;
  readonly positivePeakDbfs: number | null;
  readonly negativePeakDbfs: number | null;
  readonly plrDb: number | null;
  readonly dcDbfs: number | null;
  /** Peak reduction a limiter must do to bring the mix to −14 LUFS at −1 dBTP, dB; 0 when none is needed. */
  readonly limitingDb: number | null;
}

export interface MatchFigures {
  readonly gainDb: number;
  /** Output loudness minus input loudness after the gain, LU. */
  readonly residualLu: number;
  /** `provisional` comes from three seconds of this rack alone, `exact` from the whole region. */
  readonly quality: 'provisional' | 'exact';
  /** How far the provisional gain may be off, LU: what it was off by the last time both were known. */
  readonly errorLu: number | null;
  /** 5th and 95th percentile of the short-term loudness difference, LU. */
  readonly spreadLowLu: number | null;
  readonly spreadHighLu: number | null;
}

/** Levels at one point of the path, over the match region. */
export interface TapLevels {
  readonly truePeakDbtp: number | null;
  readonly integratedLufs: number | null;
}

/** What a stage does as set; computed from its parameters, but for the histogram. */
export interface StageFace {
  readonly stageId: string;
  /** Static curve: output against input of the stage's core, both relative to full scale; x ascending over ±range. */
  readonly curveX: Float64Array;
  readonly curveY: Float64Array;
  /** Share of time the programme spends at each x, 0 to 1 relative to the fullest bin; null until analysed. */
  readonly histogram: Float64Array | null;
  /** Harmonics of 997 Hz at the alignment level at the stage's input, dBc; null below −140. */
  readonly harmonics: readonly { readonly n: number; readonly dbc: number | null }[];
  readonly thdPercent: number;
  /** Peak level at the curve's input (after trim in) at which the stage makes 1 % THD, dBFS; null when it never does. */
  readonly onePercentDbfs: number | null;
}

export interface RackFigures {
  readonly rackId: RackId;
  /** Why there are no figures, as a sentence ("silence in the match region"); null when there are. */
  readonly reason: string | null;
  readonly match: MatchFigures | null;
  readonly input: SideFigures | null;
  /** After the match gain. */
  readonly output: SideFigures | null;
  /** The rack's input, then after each stage (trim out included), before the match gain. */
  readonly taps: readonly TapLevels[];
  readonly faces: readonly StageFace[];
  /** Output minus input, third octaves 25 Hz to 16 kHz, dB; null where there is no energy. */
  readonly toneDb: readonly (number | null)[] | null;
  readonly addedPercent: number | null;
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

/** Live figures of the selected rack's output, about 30 times a second. Arrays are reused: copy what you keep. */
export interface LiveFrame {
  readonly rackId: RackId;
  /** Frequencies of the spectrum points, Hz, logarithmic from 20 to 20000. */
  readonly frequencies: Float32Array;
  /** dBFS per point; −200 stands for nothing. */
  readonly clean: Float32Array;
  readonly coloured: Float32Array;
  readonly added: Float32Array;
  /** DC of both sides, dBFS, measured apart from the spectrum; −200 stands for none. */
  readonly cleanDcDbfs: number;
  readonly colouredDcDbfs: number;
  /** Sample peaks since the last frame, dBFS. */
  readonly cleanPeakDbfs: number;
  readonly colouredPeakDbfs: number;
}

export interface LiveStore {
  /** Calls `listener` for each frame outside any render cycle. */
  onFrame(listener: (frame: LiveFrame) => void): () => void;
  readonly latest: LiveFrame | null;
}

export const sessionContext = createContext<SessionStore>(Symbol('session'));
export const playerContext = createContext<PlayerStore>(Symbol('player'));
export const analysisContext = createContext<AnalysisStore>(Symbol('analysis'));
export const liveContext = createContext<LiveStore>(Symbol('live'));
export const noticeContext = createContext<NoticeStore>(Symbol('notices'));
