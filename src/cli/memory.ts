import { totalmem } from 'node:os';
import { CliError } from './cli-error.ts';

const GB = 2 ** 30;
/** Share of the machine's memory that a render may ask for. */
const SHARE = 0.8;

/** Memory of this machine, or of the container it runs in. */
export function availableBytes(): number {
  // 0 or beyond all bounds where there is no limit.
  const limit = process.constrainedMemory() || totalmem();
  return Math.min(totalmem(), limit);
}

/**
 * What a render holds at once, from above: each sound and its rack's output, both sums of every bus and of the mix, both
 * sides and the file that is being written. Ten minutes of stereo at 48 kHz took 1.35 GB, and this says 1.50.
 */
export function renderBytes(frames: number, planes: number, buses: number): number {
  return 4 * frames * (2 * planes + 4 * buses + 10);
}

/** @throws CliError where a render would not fit: the system would end it without a word */
export function checkMemory(path: string, needed: number, available = availableBytes()): void {
  if (needed <= SHARE * available) return;
  const gigabytes = (bytes: number) => (bytes / GB).toFixed(1);
  throw new CliError(
    `${path}: Rendering it takes ${gigabytes(needed)} GB of memory, and this machine has ${gigabytes(available)}; split it into shorter parts.`,
  );
}
