/** The analysis, both its ends: documents, provisional gains, bench, alignment and resampling side by side. */

import { beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { resample } from '../../src/dsp/resample.ts';
import { sine } from '../../src/dsp/tones.ts';
import { exportSides } from '../../src/export/export-document.ts';
import { SessionAnalysis } from '../../src/measure/session-analysis.ts';
import { sessionBenchSpec } from '../../src/measure/tone-bench/session-spec.ts';
import type { BenchSpec } from '../../src/measure/tone-bench/spec.ts';
import type { Planes } from '../../src/render/rack-renderer.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { emptyRack, emptySession, newChannel } from '../../src/session/document.ts';
import { AnalysisClient } from '../../src/workers/analysis-client.ts';
import type { Reply } from '../../src/workers/channel.ts';
import { workerInProcess } from './in-process.ts';

const RATE = 48_000;
const SOUNDS = new Map<string, Planes>([['drum', [Float32Array.from(sine(RATE, RATE, 220, 0.2))]]]);

let said: Reply[];
let client: AnalysisClient;
const events: string[] = [];

function session(drive = 0): SessionDocument {
  const stages = [{ id: 's', kind: 'soft-clip', on: true, params: { drive, bias: 20 }, notes: '' }];
  return { ...emptySession(RATE), channels: [newChannel('drum', 'Frame drum', { rack: { ...emptyRack(), stages } })] };
}

function specOf(values: Record<string, number> = {}): BenchSpec {
  const spec = sessionBenchSpec(session(), 'drum', 'tone', values);
  if (!spec) throw new Error('no rack');
  return spec;
}

/** Resolves when the newest document is answered. */
async function answered(): Promise<void> {
  while (client.status === 'working') await new Promise<void>((resolve) => setImmediate(resolve));
}

beforeAll(async () => {
  said = await workerInProcess('analysis.worker.ts');
});

beforeEach(() => {
  said.length = 0;
  events.length = 0;
  client = new AnalysisClient({
    provisional: (rackId) => events.push(`provisional ${rackId}`),
    matched: () => events.push('matched'),
    fault: (text) => events.push(`fault ${text}`),
  });
});

describe('documents', () => {
  it('have the gain of what was moved first, then all gains, then figures and details', async () => {
    client.load(session(), SOUNDS);
    await answered();
    expect(events).toEqual(['matched']);
    client.select('drum');
    await answered();
    client.update(session(6), SOUNDS, 'drum');
    expect(client.status).toBe('working');
    await answered();
    expect(events.slice(-2)).toEqual(['provisional drum', 'matched']);
    expect([client.status, client.progress]).toEqual(['idle', 1]);
    const alone = new SessionAnalysis(RATE, -18);
    alone.setSource('drum', SOUNDS.get('drum') as Planes);
    const { b } = exportSides(session(6));
    const known = runToEnd(alone.analyse(b));
    expect(client.rack('drum')?.match).toEqual(known?.racks.drum?.match);
    expect(client.coloured).toEqual(known?.coloured);
    expect(client.rack('drum')?.addedPercent).toBe(runToEnd(alone.details(b, 'drum'))?.addedPercent);
  });

  it('are given up for a newer one, of which all is answered', async () => {
    client.load(session(), SOUNDS);
    client.update(session(3), SOUNDS, 'drum');
    client.update(session(9), SOUNDS, 'drum');
    await answered();
    const answers = said.filter(({ type }) => type === 'answer');
    expect(answers).toHaveLength(1);
    expect(client.rack('drum')?.match?.gainDb).not.toBe(0);
    expect(said.filter(({ type }) => type === 'fault')).toEqual([]);
  });
});

describe('bench and documents in one worker', () => {
  it('a measurement without a document', async () => {
    const { tones } = await client.bench(specOf());
    expect(tones[0].outDbfs).toBeCloseTo(-18, 0);
  });

  it('a document that comes in the middle is answered first, and completely', async () => {
    client.load(session(), SOUNDS);
    await answered();
    said.length = 0;
    const measured = client.bench(specOf());
    // It takes a breath at the first of these, and has begun at the second.
    for (let breath = 0; breath < 2; breath++) await new Promise<void>((resolve) => setImmediate(resolve));
    client.update(session(4), SOUNDS, null);
    await Promise.all([measured, answered()]);
    const ends = said.flatMap((reply) => (reply.type === 'answer' ? [reply.id] : []));
    expect(ends).toEqual([Math.max(...ends), Math.min(...ends)]);
  });

  it('a newer measurement takes the place of an older one', async () => {
    client.load(session(), SOUNDS);
    const older = client.bench(specOf()).catch(({ name }) => name);
    const newer = client.bench(specOf({ level: -30 }));
    expect(await older).toBe('AbortError');
    expect((await newer).tones[0].inDbfs).toBe(-30);
    await answered();
    expect(client.status).toBe('idle');
  });

  it('a fault of the bench is a sentence and leaves the documents alone', async () => {
    client.load(session(), SOUNDS);
    await expect(client.bench(specOf({ frequency: 40_000 }))).rejects.toThrow(/below half the sample rate/);
    await answered();
    expect([client.status, events]).toEqual(['idle', ['matched']]);
  });
});

describe('alignment and resampling', () => {
  it('are answered while a document is worked on', async () => {
    client.load(session(), SOUNDS);
    const [plane] = SOUNDS.get('drum') as Planes;
    const [trims, [resampled]] = await Promise.all([
      client.alignment(session(), ['drum', 'mix']),
      client.resample([plane], RATE, 44_100),
    ]);
    expect(trims.drum?.map(({ stageId }) => stageId)).toEqual(['s']);
    // The page's own sound is not handed over.
    expect(resampled).toEqual(resample(plane, RATE, 44_100));
    expect(plane).toHaveLength(RATE);
    await answered();
    expect(client.status).toBe('idle');
  });

  it('have nothing to do at the same rate', async () => {
    const planes = SOUNDS.get('drum') as Planes;
    expect(await client.resample(planes, RATE, RATE)).toBe(planes);
    expect(said).toEqual([]);
  });
});
