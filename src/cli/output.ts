import { writeSync } from 'node:fs';

/** What was asked for, to standard output. */
export function print(text: string): void {
  write(1, `${text}\n`);
}

/** What the user should know besides, to standard error. */
export function warn(text: string): void {
  write(2, `${text}\n`);
}

/** Writes all of it before it returns, so that nothing is lost when the process ends. */
function write(stream: 1 | 2, text: string): void {
  const bytes = Buffer.from(text);
  let at = 0;
  while (at < bytes.length) {
    try {
      at += writeSync(stream, bytes, at);
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      // A pipe that is full is tried again; one that nobody reads any more has had enough.
      if (code === 'EPIPE') return;
      if (code !== 'EAGAIN') throw error;
    }
  }
}
