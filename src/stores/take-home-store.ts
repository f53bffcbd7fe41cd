/** What the screen of the export receives by context: files, report and import check. */

import type { ExportBits, ExportFormat, ExportOvers } from '../export/export-options.ts';
import type { ExportKind } from '../export/planned-files.ts';
import type { ImportCheck } from '../measure/compare/import-check.ts';
import type { FaderPoint } from '../render/tap-stream.ts';
import type { Observable } from './observable.ts';

export type { ExportBits, ExportFormat, ExportOvers } from '../export/export-options.ts';
export type { ComparedBand } from '../measure/compare/compare-sounds.ts';
export type { ImportCheck } from '../measure/compare/import-check.ts';
export type { ImportVerdict } from '../measure/compare/import-verdict.ts';
export type { FaderPoint } from '../render/tap-stream.ts';

export type ReportFormat = 'html' | 'md' | 'json';

/** A file that an export wrote. */
export interface WrittenFile {
  /** With the folder it belongs into, if any. */
  readonly name: string;
  readonly kind: ExportKind | 'report';
  /** 1 or 2; null of a report. */
  readonly channels: 1 | 2 | null;
  readonly bytes: number;
  /** Samples over full scale: limited in whole numbers, kept in floats. */
  readonly overs: number;
  readonly truePeakDbtp: number | null;
}

/** What an export writes. Over-sampling is the document's. */
export interface ExportSettings {
  /** Both mixes, matched. */
  readonly pair: boolean;
  /** A print of each channel. */
  readonly channels: boolean;
  /** A print of each bus. */
  readonly buses: boolean;
  /** Where prints are taken: before the fader they hold rack and match only, after it gain and balance too. */
  readonly fader: FaderPoint;
  /** The report as HTML, Markdown and JSON. */
  readonly report: boolean;
  readonly format: ExportFormat;
  /** Floats are for WAV only. */
  readonly bits: ExportBits;
  /** What becomes of mixes that pass full scale in whole numbers; `lower` where left out. */
  readonly overs?: ExportOvers;
}

/** What the sheet offers before anything was chosen. */
export const FIRST_EXPORT_SETTINGS: ExportSettings = {
  pair: true,
  channels: false,
  buses: false,
  fader: 'before',
  report: true,
  format: 'wav',
  bits: 24,
};

export interface ExpectedFile {
  readonly name: string;
  readonly kind: WrittenFile['kind'];
  readonly channels: WrittenFile['channels'];
  /** Without what rings on behind the last sound; null where it isn't known before the end. */
  readonly bytes: number | null;
}

export interface ExpectedExport {
  readonly files: readonly ExpectedFile[];
  /** Of all files whose size is known. */
  readonly bytes: number;
  /** True where sizes are upper limits: what FLAC saves is only known at the end. */
  readonly atMost: boolean;
  /** What is sure to go wrong with these settings, one sentence each. */
  readonly warnings: readonly string[];
  /** What must be known before the files are handed on, one sentence each. */
  readonly sentences: readonly string[];
  /** Why these files can't be written: a sentence that says what to do. */
  readonly refusal: string | null;
}

/** What is under way. */
export interface TakeHomeWork {
  readonly what: 'export' | 'report' | 'check';
  /** Its step in words. */
  readonly doing: string;
  /** Share that is done, 0 to 1; null where it isn't known. */
  readonly share: number | null;
}

/** How the last export, or report by itself, ended. */
export type TakeHomeEnding =
  | {
      readonly how: 'written';
      readonly what: 'export' | 'report';
      readonly text: string;
      readonly files: readonly WrittenFile[];
      /** Overs and what was left out, one sentence each. */
      readonly warnings: readonly string[];
    }
  | { readonly how: 'cancelled' | 'failed'; readonly what: 'export' | 'report'; readonly text: string };

/** An import check of the session as it was then. */
export interface CheckedImport {
  readonly file: string;
  /** Null where it failed or was cancelled. */
  readonly check: ImportCheck | null;
  /** Why there is no check, in a sentence. */
  readonly fault: string | null;
  /** True where the session's clean mix is another one since. */
  readonly outdated: boolean;
}

/**
 * Takes the session home. One thing is done at a time, beside the sound and the analysis, on the session as it was when
 * it was started; what is asked for meanwhile is not done.
 */
export interface TakeHomeStore extends Observable {
  readonly settings: ExportSettings;
  /** Changes some of the settings; those that don't go together are put right. */
  choose(settings: Partial<ExportSettings>): void;
  /** What an export of the session as it is would write. */
  expected(): ExpectedExport;
  /** True where the browser lets a page write into a folder. */
  readonly canChooseFolder: boolean;

  readonly work: TakeHomeWork | null;
  readonly ending: TakeHomeEnding | null;
  /** Asks where to, then writes. Call it in the handler of a click: browsers ask only then. */
  export(where: 'zip' | 'folder'): Promise<void>;
  saveReport(format: ReportFormat): Promise<void>;
  cancel(): void;

  readonly checked: CheckedImport | null;
  /** Compares the session's clean mix with the engineer's own mixdown. */
  check(file: File): Promise<void>;

  /** While the sheet isn't on the screen, endings are said as notices. */
  setShown(shown: boolean): void;
}
