import type { ExportPlan } from './export-plan.ts';
import type { ExportedFile, StreamOptions } from './export-stream.ts';
import { exportPieces } from './export-stream.ts';
import { isMix, lowered, pairHeadroomDb } from './pair-headroom.ts';
import type { PlannedFile } from './planned-files.ts';

/** Where files go: a folder on disk, one chosen in the browser, memory. */
export interface ExportTarget {
  /** Called for each file before its first bytes; by `writeExport` once more where it is written anew. */
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

export interface WriteOptions extends Omit<StreamOptions, 'files' | 'loudness' | 'measureOnly'> {
  /** Told the share that is done of writing both mixes anew, 0 to 1. */
  readonly onLowering?: (share: number) => void;
}

/**
 * Writes all files of a plan. Where one of the mixes turns out to pass full scale and both are to be lowered together,
 * these two are written anew; that is seldom, so nothing is measured beforehand.
 * @returns the plan as it was written, lowered or not, and what was written
 * @throws as `runExport` does; then a target may still have files that were closed, to be taken back by itself
 */
export async function writeExport(
  plan: ExportPlan,
  target: ExportTarget,
  { onLowering, ...options }: WriteOptions = {},
): Promise<{ readonly plan: ExportPlan; readonly files: ExportedFile[] }> {
  const files = await runExport(plan, target, options);
  const headroomDb = pairHeadroomDb(plan, files);
  if (headroomDb === 0) return { plan, files };
  const down = lowered(plan, headroomDb);
  const mixes = await runExport(down, target, { ...options, files: down.files.filter(isMix), onProgress: onLowering });
  return { plan: down, files: files.map((one) => mixes.find(({ file }) => file.name === one.file.name) ?? one) };
}
