/** The analysis against direct measurement of what the engine renders, and what one move costs. */
import { afterEach, describe, expect, it, vi } from 'vitest';
import { measureDetailed } from '../../src/dsp/measure.ts';
import type { RackConfig } from '../../src/engine/config.ts';
import { withMatches } from '../../src/measure/document-match.ts';
import type { SideFigures } from '../../src/measure/figures.ts';
import { LONGEST_REGION_SECONDS } from '../../src/measure/match-region.ts';
import { SessionAnalysis } from '../../src/measure/session-analysis.ts';
import { RackRenderer } from '../../src/render/rack-renderer.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { renderSession } from '../../src/render/session-render.ts';
import type { SessionDocument } from '../../src/session/document.ts';
import { findRack, rackIds } from '../../src/session/document.ts';
import { channelOf, oneChannel, rackOf, smallSession, smallSources, stageOf, whiteNoise } from './sessions.ts';

/** A third of the usual rate, which the recordings of `match-recordings.test.ts` have: nothing here hangs on it. */
const RATE = 16_000;

function analysisOf(document: SessionDocument, sources: Map<string, Float32Array[]>): SessionAnalysis {
  const analysis = new SessionAnalysis(document.sampleRate, document.alignmentDbfs);
  for (const [id, planes] of sources) analysis.setSource(id, planes);
  return analysis;
}

/** The session with one parameter of a rack's first stage moved. */
function moved(document: SessionDocument, rackId: string, id: string, value: number): SessionDocument {
  const copy = structuredClone(document);
  const stage = findRack(copy, rackId)?.stages[0];
  if (!stage) throw new Error(`no stage in ${rackId}`);
  stage.params[id] = value;
  return copy;
}

function expectFigures(figures: SideFigures, planes: Float32Array[]): void {
  const direct = measureDetailed(planes, RATE);
  const keys = ['integratedLufs', 'truePeakDbtp', 'positivePeakDbfs', 'negativePeakDbfs', 'plrDb'] as const;
  for (const key of keys) expect(figures[key], key).toBeCloseTo(direct[key] ?? Number.NaN, 3);
}

/** Every number in a structure, with the way to it. */
function numbersIn(value: unknown, path = ''): [string, number][] {
  if (typeof value === 'number') return [[path, value]];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => numbersIn(inner, `${path}.${key}`));
}

describe('analyse', () => {
  const sources = smallSources(6, RATE);
  const document = smallSession(RATE);
  const result = runToEnd(analysisOf(document, sources).analyse(document));
  if (!result) throw new Error('no result');

  it('gives the figures of what the engine renders with its gains', () => {
    const { clean, coloured } = runToEnd(renderSession(withMatches(document, result), sources, { factor: 4 }));
    expectFigures(result.clean, clean);
    expectFigures(result.coloured, coloured);
    expect(result.coloured.integratedLufs).toBeCloseTo(result.clean.integratedLufs ?? 0, 3);
  });

  it('gives each rack’s figures as they are before and after it', () => {
    for (const id of ['melodica', 'accordion', 'frame drum']) {
      const { match, input, output } = result.racks[id];
      const planes = (sources.get(id) ?? []).map((plane) => {
        const whole = new Float32Array(6 * RATE);
        whole.set(plane);
        return whole;
      });
      expectFigures(input, planes);
      expect(output.integratedLufs).toBeCloseTo(input.integratedLufs ?? 0, 3);
      expect(Math.abs(match?.residualLu ?? 1)).toBeLessThan(1e-3);
      expect(match?.quality).toBe('exact');
    }
  });

  it('has figures of every rack, and no number that is none', () => {
    expect(Object.keys(result.racks).sort()).toEqual([...rackIds(document)].sort());
    expect(numbersIn(result).filter(([, value]) => !Number.isFinite(value))).toEqual([]);
  });

  it('marks the loudest colour where the stages are driven, at least two seconds apart', () => {
    const quiet = whiteNoise(8 * RATE, 0.002, 31);
    quiet.set(whiteNoise(RATE / 2, 0.3, 32), 3 * RATE);
    const one = oneChannel(rackOf(stageOf('soft-clip', { drive: 6 })), RATE);
    const found = runToEnd(analysisOf(one, new Map([['one', [quiet]]])).analyse(one))?.loudestColour ?? [];
    expect(found[0]).toBeGreaterThanOrEqual(2.75);
    expect(found[0]).toBeLessThanOrEqual(3.5);
    for (const a of found) for (const b of found) expect(a === b || Math.abs(a - b) >= 2).toBe(true);
  });
});

describe('match region', () => {
  const analysis = new SessionAnalysis(RATE, -18);
  analysis.setSource('one', [new Float32Array(10 * RATE)]);
  const regionOf = (matchRegion: SessionDocument['matchRegion']) =>
    analysis.region({ ...oneChannel(rackOf(), RATE), matchRegion });

  it('is the whole, what was chosen, or the whole again where that lies outside', () => {
    expect(regionOf(null)).toEqual([0, 10 * RATE]);
    expect(regionOf({ startSeconds: 2, endSeconds: 4.5 })).toEqual([2 * RATE, 4.5 * RATE]);
    expect(regionOf({ startSeconds: 8, endSeconds: 99 })).toEqual([8 * RATE, 10 * RATE]);
    expect(regionOf({ startSeconds: 50, endSeconds: 60 })).toEqual([0, 10 * RATE]);
  });

  it('is the middle of a long session', () => {
    const long = new SessionAnalysis(8000, -18);
    const frames = (LONGEST_REGION_SECONDS + 60) * 8000;
    long.setSource('one', [new Float32Array(frames)]);
    expect(long.region(oneChannel(rackOf(), 8000))).toEqual([30 * 8000, frames - 30 * 8000]);
  });

  it('is what the match is taken from', () => {
    const input = new Float32Array(8 * RATE);
    input.set(whiteNoise(4 * RATE, 0.02, 41), 0);
    input.set(whiteNoise(4 * RATE, 0.3, 42), 4 * RATE);
    const one = oneChannel(rackOf(stageOf('soft-clip', { drive: 6 })), RATE);
    const gainIn = (startSeconds: number, endSeconds: number) => {
      const document = { ...one, matchRegion: { startSeconds, endSeconds } };
      return (
        runToEnd(analysisOf(document, new Map([['one', [input]]])).analyse(document))?.racks.one.match?.gainDb ?? 0
      );
    };
    // The quiet half lies below the knee and needs next to no gain; the loud one loses level in the curve.
    expect(Math.abs(gainIn(0, 4))).toBeLessThan(0.3);
    expect(gainIn(4, 8)).toBeGreaterThan(3);
  });
});

describe('what one move costs', () => {
  afterEach(() => {
    vi.restoreAllMocks();
  });

  /** Racks that `change` makes the analysis render, known by their first stage. */
  function rendered(change: (document: SessionDocument) => SessionDocument): string[] {
    const document = smallSession(RATE);
    document.mix.rack = rackOf(stageOf('soft-clip', { drive: 3 }), stageOf('soft-clip'), stageOf('soft-clip'));
    const analysis = analysisOf(document, smallSources(3, RATE));
    runToEnd(analysis.analyse(document));
    const next = change(document);
    const spy = vi.spyOn(RackRenderer.prototype, 'render');
    runToEnd(analysis.analyse(next));
    const names = new Map(rackIds(next).map((id) => [findRack(next, id)?.stages[0]?.id, id]));
    return spy.mock.calls.map(([config]) => names.get((config as RackConfig).stages[0].key) ?? '?');
  }

  it('is nothing when nothing moved', () => {
    expect(rendered((document) => structuredClone(document))).toEqual([]);
  });

  it.each([
    ['melodica', ['melodica', 'reeds', 'mix']],
    ['frame drum', ['frame drum', 'mix']],
    ['reeds', ['reeds', 'mix']],
    ['mix', ['mix']],
  ])('is the moved rack and those after it: %s', (id, racks) => {
    expect(rendered((document) => moved(document, id, 'drive', 2))).toEqual(racks);
  });

  it('is what comes after a fader', () => {
    const lower = (document: SessionDocument) => {
      const copy = structuredClone(document);
      copy.channels[1].gainDb -= 3;
      return copy;
    };
    expect(rendered(lower)).toEqual(['reeds', 'mix']);
  });

  it('is everything after the operating level', () => {
    const all = rendered((document) => ({ ...document, alignmentDbfs: -20 }));
    expect(all).toEqual(['melodica', 'accordion', 'frame drum', 'reeds', 'mix']);
  });

  it('gives the same figures as an analysis from scratch', () => {
    const document = smallSession(RATE);
    const sources = smallSources(3, RATE);
    const analysis = analysisOf(document, sources);
    runToEnd(analysis.analyse(document));
    for (const id of rackIds(document)) {
      const next = moved(document, id, 'drive', -6);
      expect(runToEnd(analysis.analyse(next))).toEqual(runToEnd(analysisOf(next, sources).analyse(next)));
    }
  });

  it('takes a new sound in the place of an old one', () => {
    const document = oneChannel(rackOf(stageOf('soft-clip', { drive: 6 })), RATE);
    const analysis = analysisOf(document, new Map([['one', [whiteNoise(2 * RATE, 0.3, 51)]]]));
    const loud = runToEnd(analysis.analyse(document));
    analysis.setSource('one', [whiteNoise(2 * RATE, 0.03, 51)]);
    const quiet = runToEnd(analysis.analyse(document));
    expect((loud?.clean.integratedLufs ?? 0) - (quiet?.clean.integratedLufs ?? 0)).toBeCloseTo(20, 2);
    analysis.setSource('one', null);
    expect(runToEnd(analysis.analyse(document))).toBeNull();
  });
});

describe('matching off', () => {
  it('leaves levels as the stages make them', () => {
    const document = { ...smallSession(RATE), matching: false };
    const sources = smallSources(6, RATE);
    const result = runToEnd(analysisOf(document, sources).analyse(document));
    if (!result) throw new Error('no result');
    const { coloured } = runToEnd(renderSession(withMatches(document, result), sources, { factor: 4 }));
    expectFigures(result.coloured, coloured);
    expect(Math.abs((result.coloured.integratedLufs ?? 0) - (result.clean.integratedLufs ?? 0))).toBeGreaterThan(0.2);
    const { input, output, match } = result.racks['frame drum'];
    expect((output.integratedLufs ?? 0) - (input.integratedLufs ?? 0)).toBeCloseTo(-(match?.gainDb ?? 0), 2);
  });
});

describe('silence', () => {
  it.each([
    ['silent', new Float32Array(3 * RATE)],
    ['shorter than a block', whiteNoise(1000, 0.1, 61)],
  ])('of a %s channel gives no gain and no figures, but nothing that is no number', (_, plane) => {
    const document = smallSession(RATE);
    const sources = new Map([['melodica', [plane]]]);
    const result = runToEnd(analysisOf(document, sources).analyse(document));
    expect(result?.racks.melodica.match).toBeNull();
    expect(result?.outputMatch).toBeNull();
    expect(result?.clean.integratedLufs).toBeNull();
    expect(numbersIn(result).filter(([, value]) => !Number.isFinite(value))).toEqual([]);
    // A silent session is rendered all the same, without gains that are no numbers.
    const rendered = result && runToEnd(renderSession(withMatches(document, result), sources, { factor: 4 }));
    expect(rendered?.coloured[0].every(Number.isFinite)).toBe(true);
  });

  it('of one channel among others leaves the others matched', () => {
    const document = {
      ...smallSession(RATE),
      channels: [...smallSession(RATE).channels, channelOf('rest', { rack: rackOf(stageOf('soft-clip')) })],
    };
    const sources = smallSources(3, RATE);
    sources.set('rest', [new Float32Array(1000)]);
    const result = runToEnd(analysisOf(document, sources).analyse(document));
    expect(result?.racks.rest.match).toBeNull();
    expect(result?.outputMatch?.residualLu).toBeCloseTo(0, 4);
  });
});

describe('details', () => {
  it('give the level at every tap, the histogram of every stage and the tone', () => {
    const document = oneChannel(
      rackOf(stageOf('soft-clip', { trimIn: 6, drive: -20 }), stageOf('diode-pair', { trimOut: -4, drive: -20 })),
      RATE,
    );
    const analysis = analysisOf(document, new Map([['one', [whiteNoise(2 * RATE, 0.02, 71)]]]));
    expect(runToEnd(analysis.details(document, 'one'))).toBeNull();
    runToEnd(analysis.analyse(document));
    const details = runToEnd(analysis.details(document, 'one'));
    const [input, first, second] = (details?.taps ?? []).map(({ integratedLufs }) => integratedLufs ?? 0);
    // Far below the knee the stages are gains: 6 dB up, 4 dB down.
    expect(first - input).toBeCloseTo(6, 1);
    expect(second - first).toBeCloseTo(-4, 1);
    expect(details?.histograms).toHaveLength(2);
    for (const histogram of details?.histograms ?? []) {
      // A bell: fullest in the middle, empty at the ends.
      expect(Math.max(...histogram)).toBe(1);
      expect(Math.min(histogram[31], histogram[32])).toBeGreaterThan(0.7);
      expect(histogram[0] + histogram[63]).toBeLessThan(0.01);
    }
    for (const band of details?.toneDb ?? []) expect(Math.abs(band ?? 0)).toBeLessThan(0.1);
    expect(details?.addedPercent).toBeGreaterThan(0);
    expect(details?.addedPercent).toBeLessThan(1);
  });
});
