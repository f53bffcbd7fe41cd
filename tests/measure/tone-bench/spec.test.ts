/** The declaration of the tests, and the sentences for what can't be measured. */
import { describe, expect, it } from 'vitest';
import { sessionBenchSpec } from '../../../src/measure/tone-bench/session-spec.ts';
import type { BenchSpec } from '../../../src/measure/tone-bench/spec.ts';
import { BENCH_TESTS, benchValues, findBenchTest } from '../../../src/measure/tone-bench/spec.ts';
import { benchFault } from '../../../src/measure/tone-bench/spec-fault.ts';
import { ToneBench } from '../../../src/measure/tone-bench/tone-bench.ts';
import { emptySession } from '../../../src/session/document.ts';
import { rack, stage } from '../../support/rig.ts';

const good: BenchSpec = {
  test: 'tone',
  rack: rack([stage('soft-clip')]),
  sampleRate: 48_000,
  oversampling: 4,
  alignmentDbfs: -18,
  values: {},
};

describe('the declaration', () => {
  it('has every test once, with defaults inside their ranges that can be measured at 44.1 kHz', () => {
    const ids = BENCH_TESTS.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    for (const { id, parameters } of BENCH_TESTS) {
      expect(benchFault({ ...good, test: id, sampleRate: 44_100 }), id).toBeNull();
      for (const { min, max, default: standard, taper, about } of parameters) {
        expect(standard >= min && standard <= max).toBe(true);
        if (taper === 'log') expect(min).toBeGreaterThan(0);
        expect(about).toMatch(/\.$/);
      }
    }
  });

  it('SMPTE is 60 Hz + 7 kHz 4:1, difference tones 19 + 20 kHz 1:1 (section 4)', () => {
    expect(benchValues({ test: 'smpte', values: {} })).toMatchObject({ f1: 60, f2: 7000, ratio: 4 });
    expect(benchValues({ test: 'difference', values: {} })).toMatchObject({ f1: 19_000, f2: 20_000, ratio: 1 });
    expect(benchValues({ test: 'tone', values: { level: -3 } })).toEqual({ frequency: 997, level: -3 });
    expect(findBenchTest('nothing')).toBeUndefined();
  });
});

describe('what can’t be measured', () => {
  const faults: [string, Partial<BenchSpec>, RegExp][] = [
    ['above half the rate', { values: { frequency: 30_000 } }, /below half the sample rate \(24000 Hz\).*30000/],
    ['at half the rate', { values: { frequency: 24_000 } }, /below half the sample rate/],
    ['difference tones at 32 kHz', { test: 'difference', sampleRate: 32_000 }, /f1 must lie below half.*16000/],
    ['a level out of range', { values: { level: 20 } }, /level must be a number from −100 to 12 dBFS; it was 20\./],
    ['no number', { values: { level: Number.NaN } }, /level must be a number/],
    ['a parameter of another test', { values: { f1: 60 } }, /no parameter "f1"; it has frequency, level/],
    ['tones the wrong way round', { test: 'smpte', values: { f1: 8000 } }, /f1 must be lower than f2/],
    ['levels the wrong way round', { test: 'level-sweep', values: { from: 0, to: -10 } }, /from must be lower than to/],
    ['too many levels', { test: 'level-sweep', values: { from: -100, to: 12, step: 0.5 } }, /at most 150 levels/],
    ['frequencies the wrong way round', { test: 'frequency-sweep', values: { lowest: 900, highest: 800 } }, /lowest/],
    ['a rate out of range', { sampleRate: 4000 }, /sample rate must lie between/],
    ['a rate that is none', { sampleRate: Number.NaN }, /sample rate must lie between/],
    ['another over-sampling', { oversampling: 2 as 4 }, /Over-sampling must be 4 or 8/],
    ['an operating level out of range', { alignmentDbfs: 0 }, /operating level/],
    ['an unknown test', { test: 'noise' as 'tone' }, /no test "noise"; choose one of tone,/],
    ['an unknown kind', { rack: rack([{ ...stage('soft-clip'), kind: 'valve' }]) }, /no stage kind "valve"/],
    ['a stack of nothing', { test: 'stack', rack: rack([]) }, /no stage that is switched on/],
    ['a stack that is off', { test: 'stack', rack: { ...good.rack, on: false } }, /no stage that is switched on/],
  ];
  it.each(faults)('%s', (_, change, sentence) => {
    expect(benchFault({ ...good, ...change })).toMatch(sentence);
    expect(() => new ToneBench().run({ ...good, ...change }).next()).toThrow(sentence);
  });

  it('nothing is wrong with a good one', () => {
    expect(benchFault(good)).toBeNull();
  });
});

describe('a rack of a session', () => {
  it('is taken as it is set, its match gain included', () => {
    const session = emptySession(44_100);
    session.mix.rack.stages.push({ id: 'a', kind: 'soft-clip', on: true, params: { drive: 3 }, notes: '' });
    session.mix.rack.matchGainDb = -2;
    const spec = sessionBenchSpec(session, 'mix', 'smpte', { level: -20 });
    expect(spec).toMatchObject({ test: 'smpte', sampleRate: 44_100, oversampling: 4, alignmentDbfs: -18 });
    expect(spec?.rack.match).toBeCloseTo(10 ** (-2 / 20), 9);
    expect(spec?.rack.stages[0].values[1]).toBe(3);
    session.allDrivesDb = -8;
    expect(sessionBenchSpec(session, 'mix', 'smpte', {})?.rack.stages[0].values[1], 'all drives moved').toBe(-5);
    expect(sessionBenchSpec(session, 'nowhere', 'tone', {})).toBeNull();
  });
});
