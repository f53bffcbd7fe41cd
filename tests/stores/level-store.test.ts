/** What the screen relies on of live levels: of the workbench, fed with reports as the engine sends them, and in memory. */
import { describe, expect, it } from 'vitest';
import { MAX_BUSES, MAX_CHANNELS } from '../../src/engine/config.ts';
import { FIGURES_PER_TAP, levelTapIndex, TICKS_PER_REPORT } from '../../src/engine/level-taps.ts';
import type { LevelStore } from '../../src/stores/level-store.ts';
import { liveLevels, memoryStores } from '../browser/fixture/stores.ts';
import { stubWorkers } from '../workers/stub-worker.ts';
import { observable, told, unlike, workbench } from './contract.ts';

stubWorkers();

interface Rig {
  readonly levels: LevelStore;
  /** Ten seconds of sound pass. */
  play(): void;
}

/** The first channel is the selected one. */
function behindTheScreen(): Rig {
  const bench = workbench();
  bench.selectRack('melodica');
  const { levels } = bench;
  const taps = 1 + levelTapIndex('mix', 0, 'input', MAX_CHANNELS, MAX_BUSES);
  return {
    levels,
    play: () => {
      for (let report = 0; report < 100; report++) {
        const figures = new Float64Array(taps * FIGURES_PER_TAP);
        for (let at = 0; at < figures.length; at += FIGURES_PER_TAP) {
          figures.fill(0.01, at, at + TICKS_PER_REPORT);
          figures.set([0.3, -0.25, 0.32], at + TICKS_PER_REPORT);
        }
        levels.meters.take(figures.buffer, 48_000, { settings: 0, missed: 0 });
      }
      levels.notify();
    },
  };
}

function inMemory(): Rig {
  const { levels } = memoryStores();
  return { levels, play: () => levels.set({ latest: liveLevels('melodica') }) };
}

const RIGS: [string, () => Rig][] = [
  ['of the workbench', behindTheScreen],
  ['in memory', inMemory],
];

describe.each(RIGS)('live levels %s', (_, make) => {
  it('are none before there is sound', () => {
    expect(make().levels.latest).toBeNull();
  });

  it('are of the selected rack, on both sides, and hold together', () => {
    const { levels, play } = make();
    expect(told(levels, play)).toBeGreaterThan(0);
    const { latest } = levels;
    expect(latest).toMatchObject({ rackId: 'melodica', missedReports: 0, former: null });
    for (const side of [latest?.clean, latest?.coloured]) {
      expect(side?.truePeakDbtp).toBeGreaterThanOrEqual(side?.positivePeakDbfs as number);
      expect(side?.maxMomentaryLufs).toBeGreaterThanOrEqual(side?.momentaryLufs as number);
      expect(side?.maxShortTermLufs).toBeGreaterThanOrEqual(side?.shortTermLufs as number);
      expect(side?.plrDb).toBeCloseTo((side?.truePeakDbtp as number) - (side?.integratedLufs as number), 0);
    }
  });

  it('start anew on request, and say so', () => {
    const { levels, play } = make();
    play();
    expect(told(levels, () => levels.reset())).toBeGreaterThan(0);
    expect(levels.latest).toBeNull();
    observable(levels, () => levels.reset());
  });
});

it('levels in memory are made like those of the workbench', () => {
  const rigs = [behindTheScreen(), inMemory()];
  for (const { play } of rigs) play();
  expect(unlike(rigs[0].levels.latest, rigs[1].levels.latest)).toEqual([]);
});
