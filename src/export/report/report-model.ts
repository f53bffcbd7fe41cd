/** The report of a session: one model for JSON, Markdown and HTML. What isn't defined is null, never NaN or infinite. */
import type { SideFigures, TapLevels } from '../../measure/figures.ts';
import type { FaderPoint } from '../../render/tap-stream.ts';
import type { ExportBits, ExportFormat } from '../export-options.ts';
import type { ExportKind } from '../planned-files.ts';

export const REPORT_FORMAT = 'level-best-report';
export const REPORT_VERSION = 1;

export interface ReportParameter {
  readonly id: string;
  readonly label: string;
  readonly value: number | string;
  /** With sign and unit, as on screen. */
  readonly text: string;
  readonly unit: string | null;
  readonly default: number | string;
  /** As `text`. */
  readonly defaultText: string;
  readonly atDefault: boolean;
  /** False where another setting makes it have no effect. */
  readonly inEffect: boolean;
}

export interface ReportStage {
  readonly id: string;
  readonly kind: string;
  readonly label: string;
  readonly on: boolean;
  readonly notes: string;
  readonly parameters: readonly ReportParameter[];
  /** The tone that the following is told of, Hz: 997 for most kinds. */
  readonly toneHz: number;
  /** Of it at the alignment level at the stage's input. */
  readonly thdPercent: number | null;
  readonly harmonics: readonly { readonly n: number; readonly dbc: number | null }[];
  /** Peak level after trim in that makes 1 % THD, dBFS. */
  readonly onePercentDbfs: number | null;
  /** Output against input of the curve, full scale ±1. */
  readonly curve: readonly (readonly [x: number, y: number])[];
}

export interface ReportMatch {
  /** The gain that is used, dB. */
  readonly gainDb: number;
  /** By hand, on top of it, dB. */
  readonly trimDb: number;
  /** Loudness after the gain less what it aims at, LU: before a rack's trim, with the mix's own. */
  readonly residualLu: number;
  /** Within 0.1 LU of what it aims at. */
  readonly matched: boolean;
  /** 5th and 95th percentile of the short-term difference, LU. */
  readonly spreadLowLu: number | null;
  readonly spreadHighLu: number | null;
}

export interface ReportRack {
  readonly id: string;
  readonly name: string;
  readonly place: 'channel' | 'bus' | 'mix';
  /** Where it plays: a bus's name, "Mix" or "Output". */
  readonly into: string;
  readonly file: string | null;
  readonly gainDb: number | null;
  /** Per cent, −100 left to 100 right; of a channel. */
  readonly pan: number | null;
  readonly on: boolean;
  readonly notes: string;
  readonly match: ReportMatch | null;
  readonly input: SideFigures | null;
  /** After the match gain. */
  readonly output: SideFigures | null;
  /** The rack's input, then after each stage, before the match gain. */
  readonly levels: readonly TapLevels[];
  /** Output less input in third octaves, dB. */
  readonly toneDb: readonly (number | null)[];
  readonly addedPercent: number | null;
  readonly stages: readonly ReportStage[];
}

/** A blind trial, as its record tells it. */
export interface ReportTrial {
  readonly kind: string;
  readonly startedAt: string;
  readonly programme: string;
  /** The result in words. */
  readonly sentence: string;
  readonly figures: Readonly<Record<string, number | string | null>>;
}

/** What an export wrote beside its report. */
export interface ReportExport {
  readonly format: ExportFormat;
  readonly bits: ExportBits;
  /** Where prints were taken. */
  readonly fader: FaderPoint;
  readonly files: readonly {
    readonly name: string;
    readonly kind: ExportKind;
    readonly channels: 1 | 2;
    /** Samples over full scale: limited in whole numbers, kept in floats. */
    readonly overs: number;
    readonly truePeakDbtp: number | null;
  }[];
}

export interface ReportSide {
  /** What stands there: "Clean", "Coloured" or a scene's name. */
  readonly name: string;
  readonly figures: SideFigures;
}

export interface SessionReport {
  readonly format: typeof REPORT_FORMAT;
  readonly version: typeof REPORT_VERSION;
  readonly program: string;
  /** ISO 8601; null where nobody said. */
  readonly createdAt: string | null;
  readonly session: {
    readonly name: string;
    readonly notes: string;
    readonly sampleRate: number;
    readonly seconds: number;
    readonly alignmentDbfs: number;
    readonly oversampling: number;
    /** Of the engine; it is taken out of every file. */
    readonly latencySamples: number;
    readonly matching: boolean;
    readonly matchSource: 'computed' | 'stored';
    readonly matchRegion: { readonly startSeconds: number; readonly endSeconds: number };
    /** By how much the mixes written with the report are lowered together, dB; 0 where none needed it. */
    readonly pairHeadroomDb: number;
    readonly muted: readonly string[];
  };
  /** What whoever gets the files must know. */
  readonly statements: readonly string[];
  readonly sides: {
    readonly a: ReportSide;
    readonly b: ReportSide;
    /** The last gain of side B and how well it matches. */
    readonly match: ReportMatch | null;
    readonly addedPercent: number | null;
  };
  readonly mix: {
    readonly thirdOctavesHz: readonly number[];
    /** Side B less side A, dB. */
    readonly toneDb: readonly (number | null)[];
    /** Averaged spectra of both sides, and of what no linear filter of A explains in B: dB of a sine's peak. */
    readonly spectrum: readonly {
      readonly hz: number;
      readonly aDb: number | null;
      readonly bDb: number | null;
      readonly addedDb: number | null;
    }[];
  };
  readonly racks: readonly ReportRack[];
  readonly scenes: readonly { readonly name: string; readonly notes: string }[];
  readonly trials: readonly ReportTrial[];
  /** The files that were written with it; null of a report by itself. */
  readonly exported: ReportExport | null;
}
