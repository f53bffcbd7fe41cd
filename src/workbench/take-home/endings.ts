/** How an export or a report ended, in words. */
import type { ExportBits, TakeHomeEnding } from '../../stores/take-home-store.ts';
import { saveFault } from './save-fault.ts';
import { exportWarnings } from './words.ts';
import type { WrittenExport } from './write-export.ts';

type What = TakeHomeEnding['what'];

export function writtenExport({ outcome, place }: WrittenExport, bits: ExportBits): TakeHomeEnding {
  const { files } = outcome;
  const count = files.length === 1 ? 'one file' : `${files.length} files`;
  const text = `Written: ${count} in ${place}.`;
  return { how: 'written', what: 'export', text, files, warnings: exportWarnings(outcome, bits) };
}

export function writtenReport(name: string): TakeHomeEnding {
  return { how: 'written', what: 'report', text: `Written: "${name}".`, files: [], warnings: [] };
}

export function unwritten(what: What, fault: unknown, cancelled: boolean): TakeHomeEnding {
  return cancelled
    ? { how: 'cancelled', what, text: `The ${what} was cancelled, and nothing is left of it.` }
    : { how: 'failed', what, text: `The ${what} was not written, and nothing is left of it. ${saveFault(fault)}` };
}
