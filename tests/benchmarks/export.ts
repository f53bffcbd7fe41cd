/** Prints what an export costs, as a ratio to its racks alone in the same run, and against real time on one core. */
import { exportSides } from '../../src/export/export-document.ts';
import type { ExportFormat } from '../../src/export/export-options.ts';
import { planExport } from '../../src/export/export-plan.ts';
import { exportPieces } from '../../src/export/export-stream.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession, newBus } from '../../src/session/document.ts';
import { bursts, channelOf, rackOf, stageOf } from '../measure/sessions.ts';
import { stage } from '../support/rig.ts';
import { RATE, secondOf } from './rack-runner.ts';
import { bestOf, row, warmUp } from './timing.ts';

const SECONDS = 4;
const ROUNDS = 5;
const three = () => ({ ...rackOf(...[0, 1, 2].map(() => stageOf('soft-clip'))), matchGainDb: 0.1 });

// Ten channels on two buses and the mix: thirteen racks.
const ids = Array.from({ length: 10 }, (_, i) => `channel ${i}`);
const document: SessionDocument = {
  ...emptySession(RATE),
  channels: ids.map((id, i) => channelOf(id, { busId: i % 2 ? 'one' : 'two', gainDb: -9, rack: three() })),
  buses: [newBus('one', 'One', { rack: three() }), newBus('two', 'Two', { rack: three() })],
  mix: { rack: three(), outputMatchDb: 0.1 },
};
const sources = new Map(
  ids.map((id, i) => [id, [0, 1].map((side) => bursts(SECONDS * RATE, RATE, 0.8, 2 * i + side))]),
);

/** Processor time of the whole export, seconds: all rounds but the first, which compiles, and the best of them. */
async function time(factor: 4 | 8, format: ExportFormat, bits: 16 | 24 | 'float', stems: boolean): Promise<number> {
  const options = { sides: exportSides(document), sources, factor, format, bits, stems, tail: false, program: 'bench' };
  let best = Number.POSITIVE_INFINITY;
  for (let round = 0; round <= ROUNDS; round++) {
    const start = process.cpuUsage();
    for await (const { bytes } of exportPieces(planExport(options))) if (bytes.length < 0) throw new Error();
    const { user, system } = process.cpuUsage(start);
    if (round > 0) best = Math.min(best, (user + system) / 1e6);
  }
  return best;
}

console.log('\nExport of 13 racks of three soft clips, 48 kHz, processor time, best of rounds\n');
let missed = 0;
for (const [factor, least] of [
  [4, 12],
  [8, 6],
] as const) {
  const work = secondOf(
    Array.from({ length: 3 }, () => stage('soft-clip')),
    { factor, racks: 13 },
  );
  warmUp(work);
  const racks = SECONDS * bestOf(10, work);
  row(
    `the 13 racks alone at ${factor}x`,
    `${(SECONDS / racks).toFixed(1)} x`,
    'real time: the baseline of what follows',
  );
  const exports: [string, ExportFormat, 16 | 24 | 'float', boolean][] = [
    ['both mixes, 24 bit', 'wav', 24, false],
    ['both mixes and all stems, float', 'wav', 'float', true],
    ['both mixes and all stems, 24 bit', 'wav', 24, true],
    ['both mixes and all stems, FLAC of 24 bit', 'flac', 24, true],
  ];
  for (const [name, format, bits, stems] of exports) {
    const taken = await time(factor, format, bits, stems);
    const isLimited = format === 'wav';
    const speed = SECONDS / taken;
    const isMissed = isLimited && speed < least;
    if (isMissed) missed++;
    const verdict = isLimited ? `, at least ${least}: ${isMissed ? 'MISSED' : 'kept'}` : '';
    row(
      `${name} at ${factor}x`,
      `${(taken / racks).toFixed(2)} x`,
      `the racks alone; ${speed.toFixed(1)} times real time${verdict}`,
    );
  }
}
process.exitCode = missed > 0 ? 1 : 0;
