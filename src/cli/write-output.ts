import {
  closeSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  realpathSync,
  renameSync,
  rmdirSync,
  rmSync,
  statSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { CliError } from './cli-error.ts';

/**
 * Files that appear in a folder all at once: they are written into a hidden folder inside it and moved out when all are
 * complete, so that a fault leaves what was there before.
 */
export class OutputFolder {
  /** Folders that weren't there before, the innermost last. */
  private readonly made: string[] = [];
  private readonly hidden: string;
  private readonly names: string[] = [];

  /** @throws CliError if the folder can't be made or written to, or a file that was read would be overwritten */
  constructor(
    private readonly folder: string,
    names: readonly string[],
    read: readonly string[],
  ) {
    const inputs = new Set(read.map((path) => realpathSync(path)));
    for (const name of names) {
      const target = join(folder, name);
      if (existsSync(target) && inputs.has(realpathSync(target))) {
        throw new CliError(`${target} is being read and would be overwritten; choose another folder with --out.`);
      }
      if (existsSync(target) && statSync(target).isDirectory()) {
        throw new CliError(`${target} is a folder, where a file is to be written; choose another folder with --out.`);
      }
    }
    try {
      this.make(resolve(folder));
      this.hidden = mkdtempSync(join(folder, '.level-best-'));
    } catch (error) {
      this.removeMade();
      throw folderError(folder, error);
    }
  }

  write(name: string, bytes: Uint8Array | string): void {
    try {
      writeFileSync(join(this.hidden, name), bytes);
    } catch (error) {
      throw folderError(this.folder, error);
    }
    this.names.push(name);
  }

  /**
   * A file that is written piece by piece; `at` writes over earlier bytes. It must be closed, whatever happens. Opened
   * once more it is written anew.
   */
  open(name: string): { write(bytes: Uint8Array, at?: number): void; close(): void } {
    const attempt = <T>(step: () => T): T => {
      try {
        return step();
      } catch (error) {
        throw folderError(this.folder, error);
      }
    };
    const file = attempt(() => {
      mkdirSync(dirname(join(this.hidden, name)), { recursive: true });
      return openSync(join(this.hidden, name), 'w');
    });
    if (!this.names.includes(name)) this.names.push(name);
    let end = 0;
    return {
      write: (bytes, at = end) =>
        attempt(() => {
          for (let done = 0; done < bytes.length; ) {
            done += writeSync(file, bytes, done, bytes.length - done, at + done);
          }
          end = Math.max(end, at + bytes.length);
        }),
      close: () => attempt(() => closeSync(file)),
    };
  }

  /** Where a file that was written stands until all are complete. */
  pathOf(name: string): string {
    return join(this.hidden, name);
  }

  /** Moves everything to where it belongs; what was there is put back if one of them can't be. */
  complete(): void {
    const undo: (() => void)[] = [];
    try {
      for (const name of this.names) {
        const target = join(this.folder, name);
        const old = join(this.hidden, 'old', name);
        this.make(resolve(dirname(target)));
        if (existsSync(target)) {
          mkdirSync(dirname(old), { recursive: true });
          renameSync(target, old);
          undo.push(() => renameSync(old, target));
        }
        renameSync(join(this.hidden, name), target);
        undo.push(() => rmSync(target));
      }
      rmSync(this.hidden, { recursive: true });
    } catch (error) {
      for (const step of undo.reverse()) step();
      throw folderError(this.folder, error);
    }
  }

  /** Takes everything back, and the folders that weren't there before. */
  abandon(): void {
    rmSync(this.hidden, { recursive: true, force: true });
    this.removeMade();
  }

  /** Workaround 1: mkdir's own `recursive` never returns for a folder below /proc (Node 20). */
  private make(folder: string): void {
    if (existsSync(folder)) return;
    this.make(dirname(folder));
    mkdirSync(folder);
    this.made.push(folder);
  }

  private removeMade(): void {
    for (const folder of this.made.reverse()) {
      try {
        rmdirSync(folder);
      } catch {
        // Someone else has put something into it meanwhile.
      }
    }
  }
}

function folderError(folder: string, error: unknown): unknown {
  const reasons: Record<string, string> = {
    EACCES: 'It may not be written to; change its permissions or choose another with --out.',
    EPERM: 'It may not be written to; change its permissions or choose another with --out.',
    EROFS: 'Its disk is read-only; choose another with --out.',
    ENOTDIR: 'It, or a part of its path, is a file and not a folder; choose another with --out.',
    ENOSPC: 'The disk is full; make room or choose another with --out.',
    ENOENT: 'It can not be made there; choose another with --out.',
    ENAMETOOLONG: 'Its name is too long; choose another with --out.',
  };
  const reason = reasons[(error as NodeJS.ErrnoException).code ?? ''];
  return reason ? new CliError(`${folder}: ${reason}`) : error;
}
