import { fileSave } from 'browser-fs-access';
import { toCsv, toJson } from '../../blind/trial-csv.ts';
import type { TrialRecord } from '../../blind/trial-record.ts';

/** Saves a record as a file; a dialog that is closed is no fault. @throws Error where the file can't be written */
export async function saveRecord(record: TrialRecord, format: 'csv' | 'json'): Promise<void> {
  const isCsv = format === 'csv';
  const type = isCsv ? 'text/csv' : 'application/json';
  const when = record.startedAt.slice(0, 16).replaceAll(':', '.').replace('T', ' ');
  const blob = new Blob([isCsv ? toCsv(record) : toJson(record)], { type });
  try {
    await fileSave(blob, { fileName: `blind trial ${when}.${format}`, extensions: [`.${format}`] });
  } catch (fault) {
    if (!(fault instanceof DOMException && fault.name === 'AbortError')) throw fault;
  }
}
