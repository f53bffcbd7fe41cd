import type { ExportPlan } from './export-plan.ts';
import type { ExportedFile, StreamOptions } from './export-stream.ts';
import { exportPieces } from './export-stream.ts';
import type { PlannedFile } from './planned-files.ts';

/** Where files go: a folder on disk, one chosen in the browser, memory. */
export interface ExportTarget {
  /** Called once for each file before its first bytes. */
  open(file: PlannedFile): TargetFile | Promise<TargetFile>;
}

export interface TargetFile {
  /** Appends bytes, or with `at` writes over earlier ones; a target that can't go back ignores those. */
  write(bytes: Uint8Array<ArrayBuffer>, at?: number): void | Promise<void>;
  /** All is written. */
  close(): void | Promise<void>;
  /** The export was cancelled or failed: takes away what was written. */
  abort(): void | Promise<void>;
}

/**
 * Writes all files of a plan in one pass. On a fault or a cancel every file is taken back, then the fault is thrown.
 * @throws the signal's reason where it is aborted, and whatever the target throws
 */
export async function runExport(
  plan: ExportPlan,
  target: ExportTarget,
  options: StreamOptions = {},
): Promise<ExportedFile[]> {
  const open = new Map<PlannedFile, TargetFile>();
  const pieces = exportPieces(plan, options);
  try {
    for (;;) {
      const { done, value } = await pieces.next();
      if (done) {
        for (const file of open.values()) await file.close();
        return value;
      }
      let file = open.get(value.file);
      if (!file) {
        file = await target.open(value.file);
        open.set(value.file, file);
      }
      await file.write(value.bytes, value.at);
    }
  } catch (error) {
    // Ends the stream, so that its encoders let go of what they hold.
    await pieces.return([]);
    for (const file of open.values()) await file.abort();
    throw error;
  }
}
