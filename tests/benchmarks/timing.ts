/** Timing by the best of several rounds, in processor time of this process, so that other work on the machine counts less. */

/** Runs `work` for this long first, seconds of processor time: V8 runs WebAssembly with a quick, plain compiler until the better one is done. */
const WARM_UP = 0.8;

export function warmUp(work: () => void): void {
  const start = process.cpuUsage();
  for (;;) {
    work();
    const { user, system } = process.cpuUsage(start);
    if (user + system > 1e6 * WARM_UP) return;
  }
}

export function bestOf(rounds: number, work: () => void): number {
  let best = Number.POSITIVE_INFINITY;
  for (let i = 0; i < rounds; i++) {
    const start = process.cpuUsage();
    work();
    const { user, system } = process.cpuUsage(start);
    best = Math.min(best, (user + system) / 1e6);
  }
  return best;
}

/** One line of a table: name, figure, what it means. */
export function row(name: string, figure: string, remark = ''): void {
  console.log(`  ${name.padEnd(46)}${figure.padStart(12)}  ${remark}`);
}
