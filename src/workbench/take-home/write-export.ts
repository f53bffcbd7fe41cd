import type { ExportOutcome, TakeHomePiece } from '../../workers/take-home/protocol.ts';
import { chooseFolder, writeFolder } from './export-folder.ts';
import { NothingChosen, saveStream } from './save-stream.ts';
import { zipStream } from './zip-stream.ts';

export interface WrittenExport {
  readonly outcome: ExportOutcome;
  /** Where it went, in words. */
  readonly place: string;
}

/**
 * Asks where to, then writes what comes. On a fault nothing is left of it.
 * @param pieces called once, when the place is known; for a ZIP each file must end before the next one begins
 * @throws NothingChosen, and whatever the pieces or the disk throw
 */
export async function writeExport(
  where: 'zip' | 'folder',
  pieces: () => AsyncGenerator<TakeHomePiece, ExportOutcome>,
  name: string,
  now: Date,
): Promise<WrittenExport> {
  if (where === 'folder') {
    const folder = await chooseFolder();
    if (!folder) throw new NothingChosen();
    const written = await writeFolder(pieces(), folder, name);
    return { outcome: written.outcome, place: `the folder "${written.name}"` };
  }
  let outcome: ExportOutcome | null = null;
  const zip = () =>
    zipStream(pieces(), now, (done) => {
      outcome = done;
    });
  const fileName = `${name}.zip`;
  await saveStream(zip, { fileName, type: 'application/zip', extension: '.zip' });
  if (!outcome) throw new Error('The ZIP ended before its files');
  return { outcome, place: `"${fileName}"` };
}
