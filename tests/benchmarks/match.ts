/**
 * Prints what the loudness match of the demo session costs after one move of one drive, as a ratio to rendering the
 * moved rack once in the same run, and against the limits: 1 s [0.5 s] for the exact gains, 50 ms for provisional ones.
 */

import { analysisSides, exportSides } from '../../src/export/export-document.ts';
import { SessionAnalysis } from '../../src/measure/session-analysis.ts';
import { rackConfig } from '../../src/render/engine-config.ts';
import { RackRenderer } from '../../src/render/rack-renderer.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { findRack, rackIds } from '../../src/session/document.ts';
import { demoSession } from '../export/export-rig.ts';
import { row } from './timing.ts';

const EXACT_LIMIT = 1;
const PROVISIONAL_LIMIT = 0.05;
const ROUNDS = 5;

const { document, sources } = await demoSession();
const analysis = new SessionAnalysis(document.sampleRate, document.alignmentDbfs);
for (const [id, planes] of sources) analysis.setSource(id, planes);
const renderer = new RackRenderer(document.sampleRate, 4, document.alignmentDbfs);
const exact = (now: SessionDocument) => {
  const sides = exportSides(now);
  return runToEnd(analysis.matches(sides.b, undefined, analysisSides(sides)));
};
exact(document);

/** The document with the rack's first drive moved a little. */
function moved(rackId: string, round: number): SessionDocument {
  const next = structuredClone(document);
  const [stage] = findRack(next, rackId)?.stages ?? [];
  if (stage) stage.params.drive = Number(stage.params.drive) + 0.1 * (round + 1);
  return next;
}

function seconds(work: () => void): number {
  const start = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1e6;
}

console.log('\nLoudness match of the demo session (24 s) after one move, processor time, best of rounds\n');
let slowest = 0;
let latest = 0;
for (const rackId of rackIds(document)) {
  const rack = findRack(document, rackId);
  const input = sources.get(rackId) ?? [...sources.values()][0];
  if (!rack || rack.stages.length === 0) continue;
  const times = { render: Infinity, provisional: Infinity, exact: Infinity };
  for (let round = 0; round < ROUNDS; round++) {
    const next = moved(rackId, round);
    const best = (key: keyof typeof times, work: () => void) => {
      times[key] = Math.min(times[key], seconds(work));
    };
    best('render', () => runToEnd(renderer.render(rackConfig(findRack(next, rackId) ?? rack, false), input)));
    best('provisional', () => runToEnd(analysis.provisional(exportSides(next).b, rackId)));
    best('exact', () => exact(next));
  }
  slowest = Math.max(slowest, times.exact);
  latest = Math.max(latest, times.provisional);
  row(
    `${rackId}, ${rack.stages.length} ${rack.stages.length === 1 ? 'stage' : 'stages'}`,
    `${(times.exact / times.render).toFixed(2)} x`,
    `one render of the rack; exact ${times.exact.toFixed(2)} s, provisional ${(1000 * times.provisional).toFixed(0)} ms`,
  );
}
const verdict = (value: number, limit: number) => (value > limit ? 'MISSED' : 'kept');
row('the slowest exact match', `${slowest.toFixed(2)} s`, `at most 1 [0.5]: ${verdict(slowest, EXACT_LIMIT)}`);
row('the slowest provisional match', `${latest.toFixed(3)} s`, `at most 0.05: ${verdict(latest, PROVISIONAL_LIMIT)}`);
process.exitCode = slowest > EXACT_LIMIT || latest > PROVISIONAL_LIMIT ? 1 : 0;
