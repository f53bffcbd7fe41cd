/** What the page and the take-home worker say to each other. Plain data; one worker does one job, as its one request. */

import type { ExportBits, ExportFormat, ExportOvers } from '../../export/export-options.ts';
import type { ExportKind } from '../../export/planned-files.ts';
import type { ReportTrial } from '../../export/report/report-model.ts';
import type { ImportCheck } from '../../measure/compare/import-check.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import type { FaderPoint } from '../../render/tap-stream.ts';
import type { SessionDocument } from '../../session/document.ts';
import type { ReportFormat, WrittenFile } from '../../stores/take-home-store.ts';

export interface ReportJob {
  readonly document: SessionDocument;
  readonly factor: 4 | 8;
  /** Program and version. */
  readonly program: string;
  readonly now: Date;
  readonly trials: readonly ReportTrial[];
}

export interface ExportJob extends ReportJob {
  readonly format: ExportFormat;
  readonly bits: ExportBits;
  /** What becomes of mixes that pass full scale; `lower` where left out. */
  readonly overs?: ExportOvers;
  readonly kinds: readonly ExportKind[];
  /** Where prints are taken. */
  readonly fader: FaderPoint;
  readonly report: boolean;
  /** All files in one pass, or each to its end before the next one begins, as a ZIP wants them. */
  readonly order: 'together' | 'one-by-one';
}

export interface CheckJob {
  readonly document: SessionDocument;
  /** One or two planes at the mixdown's own rate. */
  readonly mixdown: Planes;
  readonly mixdownRate: number;
}

/** What is being done, for a word on the screen. */
export type TakeHomeStep = 'gathering' | 'matching' | 'peaks' | 'rendering' | 'report' | 'clean-mix' | 'comparing';

export interface ExportOutcome {
  readonly files: readonly WrittenFile[];
  readonly frames: number;
  readonly tailFrames: number;
  /** By how much both mixes were lowered together, dB, 0 or less. */
  readonly headroomDb: number;
  /** False where a report was wanted and there was no sound to describe. */
  readonly reported: boolean;
}

/** The report of a session, as each kind of file. */
export type ReportTexts = Readonly<Record<ReportFormat, string>>;

/** The next bytes of a file, or with `at` bytes over earlier ones; `last` ends the file in the order `one-by-one`. */
export interface TakeHomePiece {
  readonly name: string;
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly at?: number;
  readonly last?: boolean;
}

export interface TakeHomeProgress {
  readonly step: TakeHomeStep;
  /** Of the whole job, 0 to 1; null where it isn't known. */
  readonly share: number | null;
}

export interface TakeHomeProtocol {
  readonly asks: {
    readonly export: {
      readonly ask: ExportJob;
      readonly told: TakeHomeProgress | TakeHomePiece;
      readonly answer: ExportOutcome;
    };
    /** Null where there is no sound in the match region. */
    readonly report: {
      readonly ask: ReportJob;
      readonly told: TakeHomeProgress;
      readonly answer: ReportTexts | null;
    };
    readonly check: { readonly ask: CheckJob; readonly told: TakeHomeProgress; readonly answer: ImportCheck };
  };
  readonly notes: {
    /** All sources come before the job. */
    readonly source: { readonly channelId: string; readonly planes: Planes };
    /** One piece was taken; the next may come. */
    readonly taken: null;
  };
  readonly news: Readonly<Record<never, never>>;
}
