const WIDTH = 30;
/** Shortest time between two drawings. */
const PAUSE_MS = 80;

/** A bar on standard error, where that is a terminal; nothing anywhere else. */
export class Progress {
  private drawn = 0;
  private readonly shown: boolean;

  constructor(private readonly stream: Pick<NodeJS.WriteStream, 'isTTY' | 'write'> = process.stderr) {
    this.shown = stream.isTTY === true;
  }

  /** @param share 0 to 1 */
  show(label: string, share: number): void {
    const now = performance.now();
    if (!this.shown || (share < 1 && now - this.drawn < PAUSE_MS)) return;
    this.drawn = now;
    const full = Math.round(WIDTH * share);
    const percent = String(Math.round(100 * share)).padStart(3);
    this.stream.write(`\r\x1b[K${label.padEnd(10)} ${'█'.repeat(full)}${'░'.repeat(WIDTH - full)} ${percent} %`);
  }

  /** Takes the bar away. */
  end(): void {
    if (this.shown && this.drawn > 0) this.stream.write('\r\x1b[K');
    this.drawn = 0;
  }
}
