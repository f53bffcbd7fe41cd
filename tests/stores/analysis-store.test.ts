/** What the screen relies on of figures and tone bench: the analysis with its worker, and both as they stand in for it in memory. */
import { beforeAll, describe, expect, it } from 'vitest';
import { applyCommand, type Command } from '../../src/session/commands.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { findRack, MIX_ID, rackIds } from '../../src/session/document.ts';
import type { AnalysisStore } from '../../src/stores/analysis-store.ts';
import type { BenchResult, BenchStore, BenchTestId } from '../../src/stores/tone-bench-store.ts';
import { toneBench } from '../../src/workbench/tone-bench.ts';
import { AnalysisClient } from '../../src/workers/analysis-client.ts';
import { memoryStores } from '../browser/fixture/stores.ts';
import { smallSession, smallSources, stageOf } from '../measure/sessions.ts';
import { workerInProcess } from '../workers/in-process.ts';
import { told, unlike } from './contract.ts';

interface Rig {
  readonly analysis: AnalysisStore;
  readonly bench: BenchStore;
  readonly document: SessionDocument;
  dispatch(command: Command): void;
  /** Resolves when all figures are of the document. */
  settled(): Promise<void>;
}

const SECONDS = 1.5;
let real: Rig;

beforeAll(async () => {
  await workerInProcess('analysis.worker.ts');
  real = await behindTheScreen();
});

async function behindTheScreen(): Promise<Rig> {
  const client = new AnalysisClient({ provisional: () => {}, matched: () => {}, fault: () => {} });
  const sounds = smallSources(SECONDS);
  let document = smallSession();
  const settled = async () => {
    while (client.status === 'working') await new Promise((resolve) => setTimeout(resolve));
  };
  const session = {
    get document() {
      return document;
    },
    analysis: client,
    subscribe: () => () => {},
  };
  client.select('melodica');
  client.load(document, sounds);
  await settled();
  return {
    analysis: client,
    bench: toneBench(session),
    get document() {
      return document;
    },
    settled,
    dispatch: (command) => {
      document = structuredClone(document);
      applyCommand(document, command);
      client.update(document, sounds, null);
    },
  };
}

function inMemory(): Rig {
  const { session, analysis, bench } = memoryStores(smallSession());
  return {
    analysis,
    bench,
    get document() {
      return session.document;
    },
    settled: async () => {},
    dispatch: (command) => session.dispatch(command),
  };
}

const RIGS: [string, () => Rig][] = [
  ['behind the screen', () => real],
  ['in memory', inMemory],
];

describe.each(RIGS)('figures %s', (_, make) => {
  it('are there of both sides and of every rack once nothing is worked on', () => {
    const { analysis, document } = make();
    expect([analysis.status, analysis.progress]).toEqual(['idle', 1]);
    for (const id of rackIds(document)) {
      const rack = analysis.rack(id);
      expect(rack).toMatchObject({ rackId: id, reason: null, match: { matched: true, quality: 'exact' } });
      expect(rack?.faces.map(({ stageId }) => stageId)).toEqual(
        findRack(document, id)?.stages.map((stage) => stage.id),
      );
      // Levels rise and fall by what the match adds, so that the rack puts out what it takes in.
      const { input, output, match } = rack ?? {};
      expect(match?.gainDb).toEqual(expect.any(Number));
      expect(Math.abs((output?.integratedLufs as number) - (input?.integratedLufs as number))).toBeLessThan(0.1);
    }
    expect(analysis.rack('nowhere')).toBeUndefined();
  });

  it('of the mix hold together', () => {
    const { analysis } = make();
    for (const side of [analysis.clean, analysis.coloured]) {
      expect(side?.positivePeakDbfs).toBeLessThanOrEqual(side?.truePeakDbtp as number);
      expect(side?.plrDb).toBeCloseTo((side?.truePeakDbtp as number) - (side?.integratedLufs as number), 1);
    }
    expect(analysis.headroomDb).toBeLessThanOrEqual(0);
    expect(analysis.shortened).toBeNull();
    const wave = analysis.waveform as Float32Array;
    expect(wave.length % 2).toBe(0);
    expect(wave.every((x, i) => i % 2 === 0 || x >= wave[i - 1])).toBe(true);
    expect(analysis.loudestColour.length).toBeGreaterThan(0);
  });

  it('of the shown rack have a level before and behind every stage, and a tone at every frequency', () => {
    const { analysis, document } = make();
    const rack = analysis.rack('melodica');
    expect(rack?.taps).toHaveLength(1 + (findRack(document, 'melodica')?.stages.length as number));
    expect(rack?.toneDb).toHaveLength(analysis.toneFrequencies.length);
    expect(rack?.addedPercent).toBeGreaterThan(0);
  });

  it('follow what is done, and say so', async () => {
    const rig = make();
    const before = findRack(rig.document, 'accordion')?.stages.length as number;
    let heard = 0;
    const leave = rig.analysis.subscribe(() => heard++);
    rig.dispatch({ type: 'add-stage', rackId: 'accordion', index: before, stage: stageOf('diode-pair') });
    await rig.settled();
    leave();
    expect(heard).toBeGreaterThan(0);
    expect(rig.analysis.rack('accordion')?.faces).toHaveLength(before + 1);
    rig.dispatch({ type: 'remove-channel', channelId: 'frame drum' });
    await rig.settled();
    expect(rig.analysis.rack('frame drum')).toBeUndefined();
    expect(told(rig.analysis, () => {})).toBe(0);
  });
});

describe.each(RIGS)('the tone bench %s', (_, make) => {
  it('has the same tests, and says that it is silent', () => {
    const { bench } = make();
    expect(bench.tests).toBe(real.bench.tests);
    expect(bench.silent).toMatch(/\.$/);
  });

  it('answers what was asked', async () => {
    const { bench } = make();
    const result = await bench.run({ rackId: MIX_ID, test: 'tone', values: { level: -12 } });
    expect(result).toMatchObject({ test: 'tone', sampleRate: 48_000, oversampling: 4, alignmentDbfs: -18 });
    expect(result.tones.map(({ inDbfs }) => inDbfs)).toEqual([-12]);
    expect(Math.abs((result.tones[0]?.hz as number) - 997)).toBeLessThan(1);
  });

  it('refuses what it can’t measure with a sentence', async () => {
    const { bench } = make();
    const run = (rackId: string, values: Record<string, number>) => bench.run({ rackId, test: 'tone', values });
    await expect(run(MIX_ID, { frequency: 40_000 })).rejects.toThrow(/frequency .*\.$/);
    await expect(run(MIX_ID, { wobble: 1 })).rejects.toThrow(/has no parameter "wobble"/);
  });
});

describe('what stands in memory', () => {
  it('is made like the figures of the analysis', () => {
    const { analysis } = inMemory();
    for (const key of ['clean', 'coloured', 'mixMatch', 'waveform', 'loudestColour', 'toneFrequencies'] as const) {
      expect(unlike(analysis[key], real.analysis[key], key)).toEqual([]);
    }
    expect(unlike(analysis.rack('melodica'), real.analysis.rack('melodica'), 'rack')).toEqual([]);
    expect(analysis.toneFrequencies).toEqual(real.analysis.toneFrequencies);
  });

  it.each(['tone', 'level-sweep', 'frequency-sweep', 'smpte', 'difference', 'floor', 'stack'] satisfies BenchTestId[])(
    'is made like the bench’s answer to %s',
    async (test) => {
      const answers: BenchResult[] = [];
      for (const { bench } of [real, inMemory()]) {
        answers.push(await bench.run({ rackId: 'melodica', test, values: {} }));
      }
      expect(unlike(answers[0], answers[1], test)).toEqual([]);
      // Lists that the one fills the other fills, but for what depends on the figures.
      const filled = answers.map(({ notes: _, foldedProducts: __, ...answer }) =>
        Object.entries(answer).flatMap(([key, value]) => (Array.isArray(value) && value.length > 0 ? [key] : [])),
      );
      expect(new Set(filled[1])).toEqual(new Set(filled[0]));
    },
  );
});
