/**
 * Hot sessions as they are heard: analysis, listening configuration, engine and output guard put together as the
 * worklet does it, and both sides' loudness measured at the loudspeakers by BS.1770-5.
 */
import { describe, expect, it } from 'vitest';
import { measureLoudness } from '../../src/dsp/loudness.ts';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { truePeak } from '../../src/dsp/true-peak.ts';
import { OutputGuard } from '../../src/engine/output-guard.ts';
import { SessionEngine } from '../../src/engine/session-engine.ts';
import { analysisSides, exportSides } from '../../src/export/export-document.ts';
import { withMatches } from '../../src/measure/document-match.ts';
import { listeningGains } from '../../src/measure/figures.ts';
import { SessionAnalysis } from '../../src/measure/session-analysis.ts';
import type { ListeningGains } from '../../src/render/listening-config.ts';
import { listeningConfig } from '../../src/render/listening-config.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { CURRENT, emptyRack, emptySession, newChannel, newStage } from '../../src/session/document.ts';
import { freshKernels } from '../support/rig.ts';

const RATE = 48000;

/** Struck notes: a sharp onset, so that a sum of them peaks far above its loudness. */
function strokes(seed: number, seconds: number): Float32Array {
  const random = seededRandom(seed);
  const out = new Float32Array(seconds * RATE);
  const hz = 90 * 1.31 ** (seed % 12);
  const every = Math.round(RATE * (0.25 + 0.02 * (seed % 3)));
  for (let start = 0; start < out.length; start += every) {
    for (let i = 0; i < every && start + i < out.length; i++) {
      const t = i / RATE;
      const strike = gaussian(random) * Math.exp(-t * 300);
      out[start + i] = 0.3 * Math.exp(-t * 9) * Math.sin(2 * Math.PI * hz * t) + 0.15 * strike;
    }
  }
  return out;
}

function hotSession(stems = 12, seconds = 3): { document: SessionDocument; sources: Map<string, Float32Array[]> } {
  const ids = Array.from({ length: stems }, (_, i) => `stem-${i}`);
  const stage = (id: string) => newStage(`${id}-clip`, 'soft-clip', { drive: 8 });
  const document: SessionDocument = {
    ...emptySession(RATE, 'Hot'),
    channels: ids.map((id) => newChannel(id, id, { rack: { ...emptyRack(), stages: [stage(id)] } })),
  };
  return { document, sources: new Map(ids.map((id, i) => [id, [strokes(i + 1, seconds)]])) };
}

/** The gains as the workbench hands them on, in the document and to the player. */
function matched({ document, sources }: ReturnType<typeof hotSession>) {
  const analysis = new SessionAnalysis(RATE, document.alignmentDbfs);
  for (const [id, planes] of sources) analysis.setSource(id, planes);
  const sides = exportSides(document);
  const result = runToEnd(analysis.analyse(sides.b, undefined, analysisSides(sides)));
  if (!result) throw new Error('nothing to analyse');
  const written = document.sides.b === CURRENT ? withMatches(document, result) : document;
  return { document: written, gains: listeningGains(result), result };
}

/** What the loudspeakers get with one side on, and how much the guard took off. */
function heard(
  document: SessionDocument,
  gains: ListeningGains,
  sources: Map<string, Float32Array[]>,
  side: 'a' | 'b',
  linked = true,
) {
  const engine = new SessionEngine(freshKernels(), {
    sampleRate: RATE,
    factor: 4,
    alignmentDbfs: document.alignmentDbfs,
    maxChannels: document.channels.length,
    maxBuses: 1,
  });
  engine.reset(listeningConfig(document, gains));
  engine.listenNow(side);
  const guard = new OutputGuard(RATE);
  const inputs = document.channels.map(({ id }) => sources.get(id) ?? []);
  const frames = Math.max(...inputs.map(([plane]) => plane.length));
  const out = [new Float32Array(frames), new Float32Array(frames)];
  const planes = Array.from({ length: 4 }, () => new Float32Array(128));
  for (let at = 0; at < frames; at += 128) {
    engine.process(inputs, out, 128, at);
    engine.readSide(0, planes.slice(0, 2), 0, 128);
    engine.readSide(1, planes.slice(2, 4), 0, 128);
    guard.process(out[0], out[1], at, at + 128, linked ? planes : []);
  }
  return { lufs: measureLoudness(out, RATE).integratedLufs as number, reductionDb: guard.takeReductionDb(), out };
}

describe('twelve hot stems', () => {
  const session = hotSession();
  const { document, gains, result } = matched(session);
  const a = heard(document, gains, session.sources, 'a');
  const b = heard(document, gains, session.sources, 'b');

  it('are the case in question: one side alone would reach the guard', () => {
    expect(result.clean.truePeakDbtp).toBeGreaterThan(2);
    expect(result.coloured.truePeakDbtp).toBeLessThan((result.clean.truePeakDbtp as number) - 3);
  });

  it('are heard within 0.1 LU of each other at the loudspeakers, and the guard does nothing', () => {
    expect(Math.abs(a.lufs - b.lufs)).toBeLessThan(0.1);
    expect([a.reductionDb, b.reductionDb]).toEqual([0, 0]);
    expect(Math.max(truePeak(a.out, RATE).dbtp, truePeak(b.out, RATE).dbtp)).toBeLessThan(-1);
    expect(result.headroomDb).toBeCloseTo(-1 - (result.clean.truePeakDbtp as number), 0);
    // What was lowered is what is said.
    expect(a.lufs - (result.clean.integratedLufs as number)).toBeCloseTo(result.headroomDb, 1);
  });

  it('stay together while a figure is stale: the guard then acts on both alike', () => {
    const stale = { ...gains, headroomDb: 0 };
    const [one, other] = [heard(document, stale, session.sources, 'a'), heard(document, stale, session.sources, 'b')];
    expect(one.reductionDb).toBeGreaterThan(2);
    expect(other.reductionDb).toBe(one.reductionDb);
    const apart = Math.abs(one.lufs - other.lufs);
    // A guard that only saw what is heard would take the peaks off the clean side and leave the coloured one alone.
    const alone = (['a', 'b'] as const).map((side) => heard(document, stale, session.sources, side, false).lufs);
    expect(apart).toBeLessThan(Math.abs(alone[0] - alone[1]) / 3);
  });

  it('have one headroom where scenes stand on both sides', () => {
    const scene = (id: string, drive: number) => ({
      id,
      name: id,
      notes: '',
      racks: Object.fromEntries(
        document.channels.map(({ id: rackId, rack }) => [
          rackId,
          { ...rack, stages: rack.stages.map((stage) => ({ ...stage, params: { ...stage.params, drive } })) },
        ]),
      ),
    });
    const scenes = [scene('gentle', -4), scene('pushed', 10)];
    const both = { ...session.document, scenes: scenes as never, sides: { a: 'gentle', b: 'pushed' } };
    const found = matched({ document: both, sources: session.sources });
    expect(found.gains.headroomDb).toBeLessThan(-1);
    const [gentle, pushed] = (['a', 'b'] as const).map((side) => heard(both, found.gains, session.sources, side));
    expect(gentle.reductionDb).toBe(0);
    expect(pushed.reductionDb).toBe(0);
    expect(Math.abs(gentle.lufs - pushed.lufs)).toBeLessThan(0.1);
  });
});

describe('a trim by hand on the mix', () => {
  it('moves the whole session by what it says, and stays matched to its aim', () => {
    const { document, sources } = hotSession(2, 6);
    const mix = {
      ...document.mix,
      rack: { ...emptyRack(), stages: [newStage('m', 'soft-clip', { drive: 3 })], matchTrimDb: 0.5 },
    };
    const trimmed = matched({ document: { ...document, mix }, sources });
    const { clean, coloured, outputMatch } = trimmed.result;
    expect((coloured.integratedLufs as number) - (clean.integratedLufs as number)).toBeCloseTo(0.5, 3);
    expect(outputMatch?.matched).toBe(true);
    const [a, b] = (['a', 'b'] as const).map((side) => heard(trimmed.document, trimmed.gains, sources, side));
    expect(b.lufs - a.lufs).toBeCloseTo(0.5, 2);
  });
});
