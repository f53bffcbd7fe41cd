/**
 * What may be shown after what has happened: figures belong to one session, one rack and one version of its settings.
 * Reports are made up here (energies and peaks in closed form), as the engine's taps would send them.
 */
import { beforeEach, describe, expect, it } from 'vitest';
import { LiveLevels } from '../../src/audio/live-levels.ts';
import { downstream, SettingsPrints } from '../../src/audio/settings-prints.ts';
import type { RackConfig, SessionConfig } from '../../src/engine/config.ts';
import { MAX_BUSES, MAX_CHANNELS } from '../../src/engine/config.ts';
import { FIGURES_PER_TAP, levelTapIndex, TICKS_PER_REPORT } from '../../src/engine/level-taps.ts';
import type { SideLevels } from '../../src/stores/level-store.ts';

const RATE = 48000;
const TAPS = levelTapIndex('mix', 0, 'input', MAX_CHANNELS, MAX_BUSES) + 1;

/** 100 ms in which every tap has the same level: BS.1770's −0.691 + 10·log of the summed mean squares, and a peak. */
function report(lufs: number, peak: number): ArrayBuffer {
  const energy = lufs === -Infinity ? 0 : 10 ** ((lufs + 0.691) / 10) * (RATE / 100);
  const figures = new Float64Array(TAPS * FIGURES_PER_TAP);
  for (let tap = 0; tap < TAPS; tap++) {
    const at = tap * FIGURES_PER_TAP;
    figures.fill(energy, at, at + TICKS_PER_REPORT);
    figures.set([peak, -peak, peak], at + TICKS_PER_REPORT);
  }
  return figures.buffer as ArrayBuffer;
}

const MIX = { point: 'mix', index: 0 } as const;
const shown = (levels: LiveLevels) => levels.of('mix', 'mix', 0);
const figuresShown = (side: SideLevels | null | undefined) =>
  Object.entries(side ?? {})
    .filter(([, value]) => value !== null)
    .map(([name]) => name);

const ALL = [
  'momentaryLufs',
  'shortTermLufs',
  'integratedLufs',
  'maxMomentaryLufs',
  'maxShortTermLufs',
  'truePeakDbtp',
  'positivePeakDbfs',
  'negativePeakDbfs',
  'psrDb',
  'plrDb',
];

describe('after which event which levels may be shown', () => {
  let levels: LiveLevels;
  const hear = (reports: number, lufs = -20, peak = 0.5, settings = 1, missed = 0) => {
    for (let i = 0; i < reports; i++) levels.take(report(lufs, peak), RATE, { settings, missed: i === 0 ? missed : 0 });
  };

  beforeEach(() => {
    levels = new LiveLevels();
    hear(40);
  });

  it('while it plays: all', () => {
    expect(figuresShown(shown(levels)?.coloured).sort()).toEqual([...ALL].sort());
    expect(shown(levels)?.coloured).toMatchObject({ psrDb: expect.closeTo(20 - 6.02, 1) });
    expect(shown(levels)?.former).toBeNull();
  });

  it('another session, another start, a reset: none', () => {
    levels.reset();
    expect(shown(levels)).toBeNull();
  });

  it('an edit: none as of now, those of before kept apart', () => {
    levels.restart([MIX], 2);
    const now = shown(levels);
    expect(figuresShown(now?.coloured)).toEqual([]);
    expect(figuresShown(now?.former?.coloured).sort()).toEqual([...ALL].sort());
    expect(now?.former?.coloured?.truePeakDbtp).toBeCloseTo(-6.02, 1);
  });

  it('an edit, while the report still holds the old settings: its peak is not taken for the new ones', () => {
    levels.restart([MIX], 2);
    hear(1, -20, 0.9, 1);
    expect(figuresShown(shown(levels)?.coloured)).toEqual([]);
    hear(1, -30, 0.1, 2);
    expect(shown(levels)?.coloured?.truePeakDbtp).toBeCloseTo(-20, 1);
    hear(3, -30, 0.1, 2);
    expect(shown(levels)?.coloured).toMatchObject({
      momentaryLufs: expect.closeTo(-30, 2),
      integratedLufs: expect.closeTo(-30, 2),
      maxMomentaryLufs: expect.closeTo(-30, 2),
      plrDb: expect.closeTo(10, 1),
      shortTermLufs: null,
      psrDb: null,
    });
    // Three seconds back there are the settings of before.
    expect(shown(levels)?.former?.coloured?.shortTermLufs).toBeGreaterThan(-21);
    hear(26, -30, 0.1, 2);
    expect(shown(levels)?.coloured).toMatchObject({
      shortTermLufs: expect.closeTo(-30, 2),
      psrDb: expect.closeTo(10, 1),
    });
    expect(shown(levels)?.coloured?.maxShortTermLufs).toBeCloseTo(-30, 2);
  });

  it('an edit of another rack: nothing changes here', () => {
    levels.restart([{ point: 'channel', index: 3 }], 2);
    expect(figuresShown(shown(levels)?.coloured)).toHaveLength(ALL.length);
    expect(figuresShown(levels.of('c', 'channel', 3)?.coloured)).toEqual([]);
  });

  it('an edit before the first sound: what comes first with the settings before does not count', () => {
    levels = new LiveLevels();
    levels.restart([MIX], 5);
    hear(1, -20, 0.9, 4);
    expect(figuresShown(shown(levels)?.coloured)).toEqual([]);
  });

  it('a stop: what was measured stays, what tells of now goes', () => {
    levels.stop();
    const left = figuresShown(shown(levels)?.coloured);
    expect(left).not.toContain('momentaryLufs');
    expect(left).not.toContain('shortTermLufs');
    expect(left).not.toContain('psrDb');
    expect(left).toContain('integratedLufs');
    expect(left).toContain('truePeakDbtp');
  });

  it('silence, or what filters ring with: no loudness, no PSR', () => {
    hear(40, -494, 1e-24);
    expect(shown(levels)?.coloured).toMatchObject({ momentaryLufs: null, shortTermLufs: null, psrDb: null });
    hear(40, -71, 1e-3);
    expect(shown(levels)?.coloured).toMatchObject({ momentaryLufs: null, shortTermLufs: null, psrDb: null });
  });

  it('nothing but silence since the start: no figure at all', () => {
    levels = new LiveLevels();
    hear(40, -494, 1e-24);
    expect(figuresShown(shown(levels)?.coloured)).toEqual([]);
  });

  it('missing reports: no window spans the gap, and it is counted', () => {
    hear(1, -20, 0.5, 1, 2);
    expect(shown(levels)).toMatchObject({ missedReports: 2 });
    expect(shown(levels)?.coloured).toMatchObject({ momentaryLufs: null, shortTermLufs: null });
    expect(shown(levels)?.coloured?.integratedLufs).toBeCloseTo(-20, 2);
    hear(3);
    expect(shown(levels)?.coloured?.momentaryLufs).toBeCloseTo(-20, 2);
  });
});

describe('which racks an edit changes', () => {
  const rack = (drive: number): RackConfig => ({
    on: true,
    match: 1,
    stages: [{ key: 's', kind: 'soft-clip', on: true, values: [drive], amplitude: 1 }],
  });
  const config = (change: { channel?: number; bus?: number; gain?: number; a?: number } = {}): SessionConfig => {
    const graph = (channel: number, bus: number, gain: number) => ({
      channels: [
        { bus: 0, gain, pan: 0, rack: rack(channel) },
        { bus: -1, gain: 1, pan: 0, rack: rack(0) },
      ],
      buses: [
        { gain: 1, rack: rack(bus) },
        { gain: 1, rack: rack(0) },
      ],
      mix: rack(0),
      outputGain: 1,
    });
    const { channel = 0, bus = 0, gain = 1, a = 0 } = change;
    return { alignmentDbfs: -18, a: graph(a, 0, gain), b: graph(channel, bus, gain) };
  };
  const names = (places: ReturnType<SettingsPrints['take']>) => places?.map(({ point, index }) => `${point} ${index}`);

  it.each([
    ['nothing', {}, []],
    ['a channel rack', { channel: 3 }, ['channel 0', 'bus 0', 'mix 0']],
    ["the other side's channel rack", { a: 3 }, ['channel 0', 'bus 0', 'mix 0']],
    ['a bus rack', { bus: 3 }, ['bus 0', 'mix 0']],
    ['a fader, which is behind the rack', { gain: 0.5 }, ['bus 0', 'mix 0']],
  ] as const)('%s', (_, change, expected) => {
    const prints = new SettingsPrints();
    expect(prints.take('x', config()), 'another layout').toBeNull();
    expect(names(prints.take('x', config(change)))).toEqual(expected);
  });

  it('all, where channels or buses stand in other places', () => {
    const prints = new SettingsPrints();
    prints.take('x', config());
    expect(prints.take('y', config())).toBeNull();
  });

  it('a new match gain changes its rack and what follows', () => {
    expect(names(downstream(config(), { point: 'channel', index: 0 }))).toEqual(['channel 0', 'bus 0', 'mix 0']);
    expect(names(downstream(config(), { point: 'channel', index: 1 }))).toEqual(['channel 1', 'mix 0']);
    expect(names(downstream(config(), { point: 'bus', index: 1 }))).toEqual(['bus 1', 'mix 0']);
  });
});
