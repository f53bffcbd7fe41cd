/** Sessions, their sounds and what an export of them gives, for the tests of the export. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { SESSION_LATENCY, SessionEngine } from '../../src/engine/session-engine.ts';
import { exportSides, matchedSides } from '../../src/export/export-document.ts';
import type { ExportOptions } from '../../src/export/export-options.ts';
import type { ExportPlan } from '../../src/export/export-plan.ts';
import { planExport } from '../../src/export/export-plan.ts';
import { runExport } from '../../src/export/run-export.ts';
import { readFlac } from '../../src/files/flac.ts';
import { readWav } from '../../src/files/wav.ts';
import { SessionAnalysis } from '../../src/measure/session-analysis.ts';
import { sessionConfig } from '../../src/render/engine-config.ts';
import type { Planes } from '../../src/render/rack-renderer.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptySession, newBus, parseSession } from '../../src/session/document.ts';
import { bursts, channelOf, rackOf, stageOf } from '../measure/sessions.ts';
import { demoStart, wholeDemoFile } from '../support/demo-start.ts';
import { freshKernels } from '../support/rig.ts';

export interface SoundSession {
  readonly document: SessionDocument;
  readonly sources: ReadonlyMap<string, Float32Array[]>;
}

const samples = join(fileURLToPath(new URL('../../samples', import.meta.url)));

const WHOLE_SECONDS = 24;

/** The Harbour Hall sextet, its first seconds. */
export async function demoSession(seconds = WHOLE_SECONDS): Promise<SoundSession> {
  const document = parseSession(JSON.parse(readFileSync(join(samples, 'harbour-hall.json'), 'utf8')));
  const sources = new Map<string, Float32Array[]>();
  for (const { id, audio } of document.channels) {
    const { file } = audio!;
    const { channels } = await readFlac(seconds < WHOLE_SECONDS ? await demoStart(file, seconds) : wholeDemoFile(file));
    sources.set(id, channels);
  }
  return { document, sources };
}

/** Twelve channels, mono and stereo, on two buses and beside them, with three stages in every rack. */
export function twelveChannels(seconds = 2, sampleRate = 48_000): SoundSession {
  const kinds = ['soft-clip', 'harmonic-set', 'diode-pair'];
  const three = (seed: number) =>
    rackOf(...kinds.map((_, i) => stageOf(kinds[(seed + i) % 3], { drive: ((seed * 5 + i) % 9) - 3, trimIn: i })));
  const ids = Array.from({ length: 12 }, (_, i) => `desk ${i + 1}`);
  const rack = (seed: number) => ({
    ...three(seed),
    matchGainDb: -0.4 * (seed % 5) + 0.3,
    matchTrimDb: 0.05 * (seed % 3),
  });
  const document: SessionDocument = {
    ...emptySession(sampleRate, 'Harbour Hall, twelve'),
    channels: ids.map((id, i) =>
      channelOf(id, { busId: ['low', 'high', null][i % 3], gainDb: -6 - i / 4, pan: 15 * (i % 7) - 45, rack: rack(i) }),
    ),
    buses: [
      newBus('low', 'Low', { gainDb: -2, rack: rack(3) }),
      newBus('high', 'High', { gainDb: 0.7, rack: rack(4) }),
    ],
    mix: { rack: rack(5), outputMatchDb: 0.37 },
  };
  const frames = Math.round(seconds * sampleRate);
  const sources = new Map(
    ids.map((id, i) => [
      id,
      Array.from({ length: 1 + (i % 2) }, (_, side) => bursts(frames - 501 * i, sampleRate, 0.9, 20 * i + side)),
    ]),
  );
  return { document, sources };
}

/** The session with the gains that its analysis finds. */
export function matched({ document, sources }: SoundSession, factor: 4 | 8 = 4) {
  const sides = exportSides(document);
  const analysis = new SessionAnalysis(document.sampleRate, document.alignmentDbfs, factor);
  for (const [id, planes] of sources) analysis.setSource(id, planes);
  const result = runToEnd(analysis.analyse(sides.b, undefined, { a: null, b: racksOf(sides.b) }));
  if (!result) throw new Error('There is nothing to match.');
  return { sides: matchedSides(sides, result), result };
}

function racksOf({ channels, buses, mix }: SessionDocument) {
  return Object.fromEntries([...[...channels, ...buses].map(({ id, rack }) => [id, rack]), ['mix', mix.rack]]);
}

export function planOf({ document, sources }: SoundSession, options: Partial<ExportOptions> = {}): ExportPlan {
  return planExport({
    sides: exportSides(document),
    sources,
    factor: 4,
    format: 'wav',
    bits: 'float',
    stems: true,
    program: 'Level Best test',
    ...options,
  });
}

/** What the listening engine puts out, of both sides, without its latency. */
export function heard({ document, sources }: SoundSession, factor: 4 | 8, frames: number) {
  const engine = new SessionEngine(freshKernels(), {
    sampleRate: document.sampleRate,
    factor,
    alignmentDbfs: document.alignmentDbfs,
    maxChannels: document.channels.length,
    maxBuses: document.buses.length,
  });
  engine.reset(sessionConfig(document));
  const inputs: Planes[] = document.channels.map(({ id }) => sources.get(id) ?? []);
  const planes = () => [0, 1].map(() => new Float32Array(frames + SESSION_LATENCY));
  const [output, a, b] = [planes(), planes(), planes()];
  engine.process(inputs, output, frames + SESSION_LATENCY, 0, a, b);
  const cut = (side: Float32Array[]) => side.map((plane) => plane.subarray(SESSION_LATENCY));
  return { clean: cut(a), coloured: cut(b) };
}

/** Every file of a plan in memory, patches put in. */
export async function written(plan: ExportPlan): Promise<Map<string, Uint8Array>> {
  const files = new Map<string, Uint8Array>();
  await runExport(plan, {
    open({ name }) {
      const pieces: Uint8Array[] = [];
      return {
        write(bytes, at) {
          if (at === undefined) pieces.push(bytes.slice());
          else {
            const whole = Buffer.concat(pieces);
            whole.set(bytes, at);
            pieces.splice(0, pieces.length, whole);
          }
        },
        close() {
          files.set(name, new Uint8Array(Buffer.concat(pieces)));
        },
        abort() {
          files.delete(name);
        },
      };
    },
  });
  return files;
}

/** The sound of every WAV. */
export function sounds(files: ReadonlyMap<string, Uint8Array>): Map<string, Float32Array[]> {
  return new Map([...files].map(([name, bytes]) => [name, readWav(bytes).channels]));
}

/** Largest difference of two stereo signals, dBFS; −Infinity where they are the same. */
export function differenceDb(one: Planes, other: Planes): number {
  let most = 0;
  one.forEach((plane, side) => {
    if (plane.length !== other[side].length) throw new Error(`${plane.length} and ${other[side].length} frames`);
    for (let i = 0; i < plane.length; i++) most = Math.max(most, Math.abs(plane[i] - other[side][i]));
  });
  return 20 * Math.log10(most);
}
