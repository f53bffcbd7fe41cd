/**
 * A folder in memory that keeps the File System Standard's promises as far as an export leans on them: what is written
 * lies aside until the file is closed, a file that is opened is there at once and empty, and giving up drops what was
 * written.
 */
export class MemoryFolder {
  /** Bytes that still fit; shared with the folders inside. */
  room = Number.POSITIVE_INFINITY;
  /** The file of this name can't be closed. */
  failsToClose: string | null = null;
  private readonly entries = new Map<string, MemoryFolder | number[]>();

  put(name: string, entry: MemoryFolder | number[]): void {
    this.entries.set(name, entry);
  }

  tree(): Record<string, unknown> {
    return Object.fromEntries(
      [...this.entries].map(([name, entry]) => [name, entry instanceof MemoryFolder ? entry.tree() : entry]),
    );
  }

  async getDirectoryHandle(name: string, { create = false } = {}): Promise<MemoryFolder> {
    const found = this.entries.get(name);
    if (found instanceof MemoryFolder) return found;
    if (found) throw new DOMException('A file', 'TypeMismatchError');
    if (!create) throw new DOMException('None', 'NotFoundError');
    const made = new MemoryFolder();
    made.room = this.room;
    made.failsToClose = this.failsToClose;
    this.entries.set(name, made);
    return made;
  }

  async getFileHandle(name: string) {
    if (!this.entries.has(name)) this.entries.set(name, []);
    return { createWritable: async () => this.writable(name) };
  }

  async removeEntry(name: string, { recursive = false } = {}): Promise<void> {
    const entry = this.entries.get(name);
    if (entry instanceof MemoryFolder && entry.entries.size > 0 && !recursive) {
      throw new DOMException('Not empty', 'InvalidModificationError');
    }
    this.entries.delete(name);
  }

  private writable(name: string) {
    const aside: number[] = [];
    let place = 0;
    let closed = false;
    return {
      write: async (data: Uint8Array | { position: number; data: Uint8Array }) => {
        const bytes = data instanceof Uint8Array ? data : data.data;
        if (!(data instanceof Uint8Array)) place = data.position;
        this.room -= bytes.length;
        if (this.room < 0) throw new DOMException('No space', 'QuotaExceededError');
        for (const byte of bytes) aside[place++] = byte;
      },
      close: async () => {
        closed = true;
        if (this.failsToClose === name) throw new DOMException('Locked', 'NoModificationAllowedError');
        this.entries.set(name, aside);
      },
      abort: async () => {
        if (closed) throw new TypeError('It is closed.');
      },
    };
  }
}
