/** How an export or a report ended, in words. */
import type { ExportBits, TakeHomeEnding } from '../../stores/take-home-store.ts';
import { WorkerFault } from '../../workers/channel.ts';
import { faultText } from '../../workers/take-home/fault-text.ts';
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

/** What browsers call the faults of a file picker, a folder or a disk, and what to do about each. */
const SENTENCES: Readonly<Record<string, string>> = {
  QuotaExceededError: 'The disk is full. Free some space or choose another place, and export again.',
  NotAllowedError: 'The browser was not allowed to write there. Choose another place, or allow it, and export again.',
  SecurityError: 'The browser does not let a page write there. Choose another folder and export again.',
  NotFoundError: 'The folder or file is no longer there. Choose another place and export again.',
  NoModificationAllowedError:
    'The file is open in another program or may not be written. Close it there or choose another place, and export again.',
  InvalidStateError: 'The disk stopped taking the file; it may have been unplugged. Export again to another place.',
};

/** Why nothing was saved, in a sentence that says what to do. */
export function saveFault(fault: unknown): string {
  if (fault instanceof WorkerFault) return fault.message;
  if (!(fault instanceof DOMException)) return faultText(fault);
  if (fault.name in SENTENCES) return SENTENCES[fault.name];
  return `The browser could not write it (${fault.message.replace(/\.$/, '')}). Choose another place and export again.`;
}
