/** ngspice (Debian) as a second opinion on circuits: a netlist's voltages over time. Null where it isn't installed. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export const hasNgspice = spawnSync('ngspice', ['--version']).status === 0;

/**
 * Voltage of one node, at a fixed rate from rest, by the trapezoidal rule with steps of at most 1 µs.
 * @param netlist elements without title and `.end`
 */
export function transient(netlist: string, node: string, rate: number, seconds: number): Float64Array {
  const folder = mkdtempSync(join(tmpdir(), 'ngspice-'));
  try {
    const step = 1 / rate;
    const text = `level best
${netlist}
.options reltol=1e-6 abstol=1e-12 vntol=1e-8
.control
set wr_singlescale
set numdgt=12
tran ${step} ${seconds} 0 1e-6
wrdata out v(${node})
quit
.endc
.end
`;
    writeFileSync(join(folder, 'in.cir'), text);
    const { status, stdout, stderr } = spawnSync('ngspice', ['-b', 'in.cir'], { cwd: folder, encoding: 'utf8' });
    if (status !== 0) throw new Error(`ngspice stopped with ${status}: ${stdout}${stderr}`);
    const rows = readFileSync(join(folder, 'out'), 'utf8').trim().split('\n');
    const table = rows.map((row) => row.trim().split(/\s+/).map(Number));
    // Its own grid of times is not a rate's: between two of its steps the straight line is 1e-4 off at 5 kHz.
    let at = 0;
    return Float64Array.from({ length: Math.round(rate * seconds) }, (_, i) => {
      const time = i / rate;
      while (at < table.length - 2 && table[at + 1][0] <= time) at++;
      const [[t0, v0], [t1, v1]] = [table[at], table[at + 1]];
      return v0 + ((v1 - v0) * (time - t0)) / (t1 - t0);
    });
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
