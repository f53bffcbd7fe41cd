/** Sounds of blind trials: matched as outside meters say, seamless, alike in nothing but the setting, or refused. */
import { beforeAll, describe, expect, it } from 'vitest';
import { DriveSearch } from '../../../src/blind/drive-search.ts';
import { exportSides } from '../../../src/export/export-document.ts';
import { SessionAnalysis } from '../../../src/measure/session-analysis.ts';
import { OVERDRIVE_DB, overdriven } from '../../../src/measure/trial/overdriven.ts';
import { loopFrames, loopOf, rolledOut } from '../../../src/measure/trial/trial-loop.ts';
import type { RenderedSounds, TrialRequest } from '../../../src/measure/trial/trial-set.ts';
import { soundCount, TRIAL_CEILING_DBTP, TrialError, together } from '../../../src/measure/trial/trial-set.ts';
import { someSounds } from '../../../src/measure/trial/trial-sounds.ts';
import { runToEnd } from '../../../src/render/run-steps.ts';
import type { SessionDocument } from '../../../src/session/document.ts';
import { CLEAN, CURRENT } from '../../../src/session/document.ts';
import { sideRacks } from '../../../src/session/effective.ts';
import type { Ebur128 } from '../../support/oracle-ebur128.ts';
import { loadEbur128 } from '../../support/oracle-ebur128.ts';
import { ebur128, findFfmpeg } from '../../support/oracle-ffmpeg.ts';
import { oneChannel, rackOf, sameBits, smallSession, smallSources, stageOf } from '../sessions.ts';

/** A third of the usual one: a loop lasts eight seconds at least, and what is tried here doesn't hang on the rate. */
const RATE = 16_000;
/** That of a session as it comes, where meters are asked. */
const USUAL_RATE = 48_000;
const LOOP = { startSeconds: 2, endSeconds: 10.5 };
const sources = smallSources(11, RATE);
const louder = (by: number) =>
  new Map([...sources].map(([id, planes]) => [id, planes.map((p) => p.map((x) => by * x))]));

let meter: Ebur128;
beforeAll(async () => {
  meter = await loadEbur128();
});

type Planes = readonly Float32Array[];

function requestOf(
  document: SessionDocument,
  sources: ReadonlyMap<string, Planes>,
  more: Partial<TrialRequest> = {},
): TrialRequest {
  const plain: SessionDocument = { ...document, sides: { a: CLEAN, b: CURRENT } };
  const playing = exportSides(plain).b;
  return {
    document: playing,
    loops: new Map(
      playing.channels.flatMap(({ id }) => {
        const planes = sources.get(id);
        return planes ? [[id, loopOf(planes, LOOP, document.sampleRate)] as const] : [];
      }),
    ),
    settings: [
      { id: 'clean', name: 'Clean', racks: sideRacks(plain, 'a') },
      { id: 'current', name: 'Coloured', racks: sideRacks(plain, 'b') },
    ],
    different: [['clean', 'current']],
    overdriven: ['clean', 'current'],
    headroomDb: 1,
    ...more,
  };
}

const part = (request: TrialRequest, index: number, of: number) =>
  runToEnd(someSounds(request, { index, of }, () => undefined));
const render = (request: TrialRequest): RenderedSounds => together(request, [part(request, 0, 1)]);

/** Every amount of a drive search on the melodica's first stage. */
function search(): TrialRequest {
  const document = smallSession(RATE);
  const { amounts } = new DriveSearch({ min: -12, max: 12, trials: 24, widthDb: 0 });
  const plain = sideRacks(document, 'b');
  const settings = amounts.map((amount) => {
    const { stages } = plain.melodica;
    const moved = stages.map((stage) =>
      amount === null ? { ...stage, on: false } : { ...stage, params: { ...stage.params, drive: amount } },
    );
    return { id: `${amount}`, name: `${amount}`, racks: { ...plain, melodica: { ...plain.melodica, stages: moved } } };
  });
  return requestOf(document, sources, { settings, different: [['null', '12']], overdriven: [] });
}

describe('every amount of a drive search', () => {
  const request = search();
  let made: RenderedSounds;
  beforeAll(() => {
    made = render(request);
  });

  it('is there: clean and 25 steps', () => {
    const { sounds } = made;
    expect(sounds).toHaveLength(26);
    expect(sounds.every(({ planes }) => planes.length === 2 && planes[0].length === 8.5 * RATE)).toBe(true);
  });

  it('is as loud as the clean mix by another meter', () => {
    // ebur128-wasm, a port of libebur128; the claim is 0.1 LU.
    const { sounds, loudnessLufs } = made;
    const clean = render({ ...request, settings: requestOf(smallSession(RATE), sources).settings, different: [] });
    const reference = meter.integrated(clean.sounds[0].planes, RATE);
    expect(Math.abs(reference - loudnessLufs)).toBeLessThan(0.02);
    const off = sounds.map(({ planes }) => meter.integrated(planes, RATE) - reference);
    console.log(`matched within ${Math.max(...off.map(Math.abs)).toFixed(4)} LU by ebur128-wasm`);
    expect(Math.max(...off.map(Math.abs))).toBeLessThan(0.02);
    expect(Math.max(...sounds.map(({ residualLu }) => Math.abs(residualLu)))).toBeLessThan(0.001);
  });

  it.skipIf(findFfmpeg() === null)('differs from all others in loudness by less than 0.1 LU as ffmpeg has it', () => {
    const heard = made.sounds.map(({ planes }) => ebur128({ channels: [...planes], sampleRate: RATE }).integratedLufs);
    expect(Math.max(...heard) - Math.min(...heard)).toBeLessThan(0.1);
  });

  it('comes from the same arithmetic: rendered among others or alone, to the bit', () => {
    const alone = render({ ...request, settings: [request.settings[7]], different: [] }).sounds[0];
    const among = made.sounds[7];
    expect(alone.planes.every((plane, side) => sameBits(plane, among.planes[side]))).toBe(true);
    expect(alone.matchGainDb).toBe(among.matchGainDb);
  });
});

describe('a pair at the usual rate', () => {
  it.skipIf(findFfmpeg() === null)('is as loud as the clean mix by both other meters', () => {
    const usual = smallSources(11, USUAL_RATE);
    const { sounds } = render({ ...requestOf(smallSession(USUAL_RATE), usual), overdriven: [] });
    const [clean, coloured] = sounds.map(({ planes }) => meter.integrated(planes, USUAL_RATE));
    expect(Math.abs(coloured - clean)).toBeLessThan(0.02);
    const [first, second] = sounds.map(
      ({ planes }) => ebur128({ channels: [...planes], sampleRate: USUAL_RATE }).integratedLufs,
    );
    expect(Math.abs(second - first)).toBeLessThan(0.1);
  });
});

describe('a pair with its catch sounds', () => {
  const document = smallSession(RATE);
  document.mix.rack.matchTrimDb = 3;
  const request = requestOf(document, sources);
  let made: RenderedSounds;
  beforeAll(() => {
    made = render(request);
  });
  const soundOf = (id: string, wild = false) => made.sounds.find((one) => one.id === id && one.overdriven === wild)!;

  it('has both sounds, and both plainly overdriven', () => {
    expect(made.sounds.map(({ id, overdriven: wild }) => [id, wild])).toEqual([
      ['clean', false],
      ['current', false],
      ['clean', true],
      ['current', true],
    ]);
    expect(made.canCatch).toBe(true);
    // Clean has nothing to overdrive, so it takes the racks as they stand.
    expect(soundOf('clean', true).planes.every((plane, i) => sameBits(plane, soundOf('current', true).planes[i]))).toBe(
      true,
    );
  });

  it('leaves clean as it is and takes a trim by hand off the last gain', () => {
    expect(soundOf('clean').matchGainDb).toBe(0);
    expect(soundOf('current').matchGainDb).toBeLessThan(-2.5);
    for (const { planes } of made.sounds) {
      expect(Math.abs(meter.integrated(planes, RATE) - made.loudnessLufs)).toBeLessThan(0.02);
    }
  });

  it('is the same in parts that were rendered apart, to the bit', () => {
    expect(soundCount(request)).toBe(4);
    const parts = [0, 1, 2].map((index) => part(request, index, 3));
    expect(parts.map(({ sounds }) => sounds.length)).toEqual([1, 2, 1]);
    const joined = together(request, parts);
    expect({ ...joined, sounds: [] }).toEqual({ ...made, sounds: [] });
    for (const [i, { planes, ...facts }] of joined.sounds.entries()) {
      const { planes: whole, ...known } = made.sounds[i];
      expect(facts).toEqual(known);
      expect(planes.every((plane, side) => sameBits(plane, whole[side]))).toBe(true);
    }
  });

  it('copies only the loop, since views are sent with all that is behind them', () => {
    const [plane] = loopOf([new Float32Array(60 * RATE)], LOOP, RATE);
    expect(plane.buffer.byteLength).toBe(8.5 * RATE * 4);
  });

  it('stays below the ceiling with a louder catch sound, all by the same attenuation', () => {
    const { sounds, attenuationDb } = render(requestOf(document, louder(3.5)));
    const peaks = sounds.map(({ planes }) =>
      meter.truePeak(
        planes.map((plane) => Float32Array.from([...plane, ...plane.subarray(0, 64)])),
        RATE,
      ),
    );
    // The loop's true peak by another meter, its seam included; ours may read up to 0.2 dB more or less between points.
    for (const [i, { truePeakDbtp }] of sounds.entries()) expect(Math.abs(truePeakDbtp - peaks[i])).toBeLessThan(0.3);
    const loudest = Math.max(...sounds.map(({ truePeakDbtp }) => truePeakDbtp));
    expect(loudest).toBeGreaterThan(0);
    expect(loudest + attenuationDb + 1).toBeCloseTo(TRIAL_CEILING_DBTP, 6);
    expect(render(requestOf(document, louder(0.1))).attenuationDb).toBe(0);
  });

  it('takes no solo, but takes mutes', () => {
    const soloed = structuredClone(document);
    soloed.channels[0].solo = true;
    const same = render({ ...requestOf(soloed, sources), overdriven: [] });
    expect(sameBits(same.sounds[1].planes[0], soundOf('current').planes[0])).toBe(true);
    const muted = structuredClone(document);
    muted.channels[0].mute = true;
    const without = render({ ...requestOf(muted, sources), overdriven: [] });
    expect(without.loudnessLufs).toBeLessThan(made.loudnessLufs - 0.1);
  });

  it('matches whatever the session says of matching', () => {
    const off = { ...structuredClone(document), matching: false };
    const same = render({ ...requestOf(off, sources), overdriven: [] });
    expect(sameBits(same.sounds[1].planes[1], soundOf('current').planes[1])).toBe(true);
  });
});

describe('the seam of the loop', () => {
  /** One curve with memory before it, so that the loop's start depends on what came before. */
  const document = oneChannel(rackOf(stageOf('soft-clip', { drive: 10, bias: 40, tilt: 6 })), RATE);
  const source = sources.get('melodica') as Float32Array[];

  it('is heard as if the loop had always gone round', () => {
    const { sounds } = render({ ...requestOf(document, new Map([['one', source]])), overdriven: [] });
    const loop = sounds[1].planes[0];
    // The session over the loop five times in a row, rendered in one piece; of it the fourth round.
    const [once] = loopOf(source, LOOP, RATE);
    const rounds = Float32Array.from({ length: 5 * once.length }, (_, i) => once[i % once.length]);
    const straight = oneLong(document, rounds).subarray(3 * once.length, 4 * once.length);
    const gain = projection(straight, loop);
    const off = straight.map((x) => gain * x).map((x, i) => Math.abs(x - loop[i]));
    const seam = Math.max(...off.subarray(0, 200), ...off.subarray(-200));
    console.log(`loop against five rounds: ${decibels(largest(off))} dBFS at most, ${decibels(seam)} at its seam`);
    expect(largest(off)).toBeLessThan(1e-6);
    // Without the roll-out it would be seen: the same loop rendered from silence is off.
    const cold = oneLong(document, once);
    expect(largest(straight.map((x, i) => Math.abs(x - cold[i])))).toBeGreaterThan(1e-4);
  });

  it('rolls its own end before it and its own start after it', () => {
    const frames = loopFrames(8 * RATE, RATE);
    const plane = Float32Array.from({ length: 8 * RATE }, (_, i) => i);
    const [out] = rolledOut([plane], frames);
    expect(out.length).toBe(frames.before + frames.loop + frames.after);
    expect(out.every((x, i) => x === (i - frames.before + frames.loop) % frames.loop)).toBe(true);
  });

  function oneLong(session: SessionDocument, plane: Float32Array): Float32Array {
    const analysis = new SessionAnalysis(RATE, session.alignmentDbfs);
    analysis.setSource('one', [plane]);
    const mixes = runToEnd(analysis.mixes(session));
    return mixes!.mix[0] as Float32Array;
  }
});

describe('refusals', () => {
  const refuses = (request: TrialRequest, sentence: RegExp) => {
    const refusal = refusalOf(request);
    expect(refusal).toBeInstanceOf(TrialError);
    expect(refusal?.message).toMatch(sentence);
    expect(refusal?.message).toMatch(/\.$/);
  };
  const cut = (request: TrialRequest, seconds: number): TrialRequest => ({
    ...request,
    loops: new Map([...request.loops].map(([id, planes]) => [id, planes.map((p) => p.slice(0, seconds * RATE))])),
  });

  it('of a loop that is too short or too long', () => {
    refuses(cut(requestOf(smallSession(RATE), sources), 4), /8 to 15 seconds; this loop has 4\.0\. Choose/);
    const long = loopOf(sources.get('melodica') as Planes, { startSeconds: 0, endSeconds: 16 }, RATE);
    refuses({ ...requestOf(smallSession(RATE), sources), loops: new Map([['melodica', long]]) }, /this loop has 16\.0/);
    refuses({ ...requestOf(smallSession(RATE), sources), loops: new Map() }, /this loop has 0\.0/);
  });

  it('of a loop without sound', () => {
    for (const level of [1e-4, 0]) refuses(requestOf(smallSession(RATE), louder(level)), /no sound in this loop/);
  });

  it('of two sides that are the same sound', () => {
    const document = smallSession(RATE);
    for (const strip of [...document.channels, ...document.buses, document.mix]) strip.rack.on = false;
    refuses(requestOf(document, sources), /Both sides are the same sound: "Clean" and "Coloured"/);
  });

  it('tells catch trials that would catch nobody', () => {
    const document = oneChannel(rackOf(stageOf('soft-clip', { drive: 0, blend: 0.5 })), RATE);
    const request = requestOf(document, new Map([['one', sources.get('melodica') as Planes]]), { different: [] });
    expect(render(request).canCatch).toBe(false);
  });
});

function refusalOf(request: TrialRequest): Error | null {
  try {
    render(request);
    return null;
  } catch (error) {
    return error as Error;
  }
}

describe('an overdriven setting', () => {
  const racks = {
    one: rackOf(stageOf('soft-clip', { drive: 2 }), stageOf('diode-pair', { drive: 20, trimIn: 3, trimOut: -1 })),
  };

  it('has every drive 18 dB up, what goes beyond the range by the trims', () => {
    const [first, second] = overdriven(racks, []).one.stages;
    expect(OVERDRIVE_DB).toBe(18);
    expect(first.params).toMatchObject({ drive: 20, trimIn: 0, trimOut: 0 });
    expect(second.params).toMatchObject({ drive: 24, trimIn: 17, trimOut: -15 });
  });

  it('takes the first of others that has colour, where it has none', () => {
    const none = { one: rackOf() };
    const off = { one: { ...racks.one, on: false } };
    expect(overdriven(none, [off, racks])).toEqual(overdriven(racks, []));
    expect(overdriven(none, [off])).toBe(none);
  });
});

function largest(values: Float32Array): number {
  return values.reduce((most, x) => Math.max(most, x), 0);
}

function decibels(value: number): string {
  return (20 * Math.log10(value)).toFixed(0);
}

/** Gain of `x` that comes nearest to `y`. */
function projection(x: Float32Array, y: Float32Array): number {
  let xy = 0;
  let xx = 0;
  for (let i = 0; i < x.length; i++) {
    xy += x[i] * y[i];
    xx += x[i] * x[i];
  }
  return xy / xx;
}
