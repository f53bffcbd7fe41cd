/** What the page and the take-home worker say to each other. Plain data; one worker does one job. */

import type { ExportBits, ExportFormat, ExportOvers } from '../../export/export-options.ts';
import type { ExportKind } from '../../export/planned-files.ts';
import type { ReportTrial } from '../../export/report/report-model.ts';
import type { ImportCheck } from '../../measure/compare/import-check.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import type { FaderPoint } from '../../render/tap-stream.ts';
import type { SessionDocument } from '../../session/document.ts';
import type { ReportFormat, WrittenFile } from '../../stores/take-home-store.ts';

export interface ReportJob {
  readonly type: 'report';
  readonly document: SessionDocument;
  readonly factor: 4 | 8;
  /** Program and version. */
  readonly program: string;
  readonly now: Date;
  readonly trials: readonly ReportTrial[];
}

export interface ExportJob extends Omit<ReportJob, 'type'> {
  readonly type: 'export';
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
  readonly type: 'check';
  readonly document: SessionDocument;
  /** One or two planes at the mixdown's own rate. */
  readonly mixdown: Planes;
  readonly mixdownRate: number;
}

export type TakeHomeJob = ReportJob | ExportJob | CheckJob;

export type ToTakeHome =
  /** All sources come before the job. */
  | { readonly type: 'source'; readonly channelId: string; readonly planes: Planes }
  | TakeHomeJob
  /** One `piece` was taken; the next may come. */
  | { readonly type: 'taken' };

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
  readonly type: 'piece';
  readonly name: string;
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly at?: number;
  readonly last?: boolean;
}

export type FromTakeHome =
  | TakeHomePiece
  | {
      readonly type: 'progress';
      readonly step: TakeHomeStep;
      /** Of the whole job, 0 to 1; null where it isn't known. */
      readonly share: number | null;
    }
  | { readonly type: 'exported'; readonly outcome: ExportOutcome }
  /** Null where there is no sound in the match region. */
  | { readonly type: 'reported'; readonly texts: ReportTexts | null }
  | { readonly type: 'checked'; readonly check: ImportCheck }
  /** A sentence for the user. */
  | { readonly type: 'failed'; readonly text: string };
