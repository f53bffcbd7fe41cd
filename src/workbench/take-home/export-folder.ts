import type { ExportOutcome, TakeHomePiece } from '../../workers/take-home/protocol.ts';

interface FolderPicker {
  showDirectoryPicker(options: { id: string; mode: 'readwrite' }): Promise<FileSystemDirectoryHandle>;
}

const MOST_TRIES = 1000;

export function canChooseFolder(): boolean {
  return 'showDirectoryPicker' in globalThis;
}

/** Asks for a folder; null where the user closes the picker. @throws DOMException where the browser refuses */
export async function chooseFolder(): Promise<FileSystemDirectoryHandle | null> {
  try {
    return await (globalThis as unknown as FolderPicker).showDirectoryPicker({ id: 'export', mode: 'readwrite' });
  } catch (fault) {
    if (fault instanceof DOMException && fault.name === 'AbortError') return null;
    throw fault;
  }
}

export interface WrittenFolder {
  readonly outcome: ExportOutcome;
  /** The folder that was made inside the chosen one. */
  readonly name: string;
}

/**
 * Writes an export into a new folder inside the chosen one, so that nothing that is there can be overwritten. On a
 * fault or a cancel the new folder is removed with all that is in it.
 * @throws what the pieces or the disk throw
 */
export async function writeFolder(
  pieces: AsyncGenerator<TakeHomePiece, ExportOutcome>,
  parent: FileSystemDirectoryHandle,
  wanted: string,
): Promise<WrittenFolder> {
  const name = await freeName(parent, wanted);
  const folder = await parent.getDirectoryHandle(name, { create: true });
  const open = new Map<string, FileSystemWritableFileStream>();
  try {
    for (;;) {
      const { done, value } = await pieces.next();
      if (done) {
        for (const file of open.values()) await file.close();
        return { outcome: value, name };
      }
      let file = open.get(value.name);
      if (!file) {
        file = await (await fileHandle(folder, value.name)).createWritable();
        open.set(value.name, file);
      }
      const { bytes, at } = value;
      // A patch belongs to the head of a file that is complete, so the place behind it isn't needed again.
      await file.write(at === undefined ? bytes : { type: 'write', position: at, data: bytes });
    }
  } catch (fault) {
    // A file that can't be given up any more is closed already and goes with the folder.
    for (const file of open.values()) await file.abort(fault).catch(() => undefined);
    await parent.removeEntry(name, { recursive: true }).catch(() => undefined);
    throw fault;
  }
}

/** A new file; the folders that its name begins with are made. */
async function fileHandle(folder: FileSystemDirectoryHandle, name: string): Promise<FileSystemFileHandle> {
  const [last, ...before] = name.split('/').reverse();
  let inside = folder;
  for (const part of before.reverse()) inside = await inside.getDirectoryHandle(part, { create: true });
  return inside.getFileHandle(last, { create: true });
}

/** The wanted name, or with a number behind it where it is taken. */
async function freeName(parent: FileSystemDirectoryHandle, wanted: string): Promise<string> {
  for (let number = 1; number < MOST_TRIES; number++) {
    const name = number === 1 ? wanted : `${wanted} ${number}`;
    if (!(await isTaken(parent, name))) return name;
  }
  throw new DOMException(`There are too many folders "${wanted}"`, 'NoModificationAllowedError');
}

async function isTaken(parent: FileSystemDirectoryHandle, name: string): Promise<boolean> {
  try {
    await parent.getDirectoryHandle(name);
    return true;
  } catch (fault) {
    if (fault instanceof DOMException && fault.name === 'NotFoundError') return false;
    // A file of that name.
    if (fault instanceof DOMException && fault.name === 'TypeMismatchError') return true;
    throw fault;
  }
}
