/**
 * The promise of the switch on real recordings: ffmpeg's ebur128 (separate code from ours) finds at most 0.1 LU between
 * the sides. Single racks with strong settings, and sessions of several recordings with stages on channels, buses and
 * the mix. Recordings and licences: tests/support/recordings.ts.
 */
import { describe, expect, it } from 'vitest';
import { withMatches } from '../../src/measure/document-match.ts';
import { exactMatch, matchReference } from '../../src/measure/match.ts';
import { SessionAnalysis } from '../../src/measure/session-analysis.ts';
import { runToEnd } from '../../src/render/run-steps.ts';
import { renderSession } from '../../src/render/session-render.ts';
import type { Rack, SessionDocument, Stage } from '../../src/session/document.ts';
import { emptySession, newBus } from '../../src/session/document.ts';
import { ebur128 } from '../support/oracle-ffmpeg.ts';
import { realRecording, realRecordingAt, recordingNames } from '../support/real-recordings.ts';
import { channelOf, oneChannel, rackOf, stageOf } from './sessions.ts';

const LIMIT_LU = 0.1;
const names = recordingNames();
/** Longer than the three seconds of a short-term figure. */
const SECONDS = 3.5;
const start = (planes: Float32Array[], rate: number) => planes.map((plane) => plane.slice(0, SECONDS * rate));

const STRONG: Record<string, () => Stage[]> = {
  'soft clip, 18 dB of drive': () => [stageOf('soft-clip', { drive: 18 })],
  'biased diodes into a hard clip': () => [
    stageOf('diode-pair', { drive: 12, bias: 60, up: '1', down: '3' }),
    stageOf('soft-clip', { curve: 'algebraic', knee: 100, drive: 9, trimIn: 6 }),
  ],
  'triode with response, 12 dB of drive': () => [stageOf('triode', { drive: 12, response: 'on' })],
  'uneven push-pull pair, 12 dB of drive': () => [stageOf('push-pull-pair', { drive: 12, uneven: 30, response: 'on' })],
  'steel transformer, 12 dB of drive': () => [stageOf('transformer', { drive: 12, core: 'steel', response: 'on' })],
  'slow tape, under-biased, 12 dB of drive': () => [
    stageOf('tape', { drive: 12, underBias: 30, speed: '7-nab', response: 'on' }),
  ],
  'harmonics with the lows worked harder, then trimmed': () => [
    stageOf('harmonic-set', { drive: 10, h2: -26, h3: -28, tilt: -9, trimOut: -7 }),
  ],
};

interface Difference {
  readonly ours: number;
  readonly theirs: number;
}

/** Loudness of B less that of A by both meters. */
function difference(a: Float32Array[], b: Float32Array[], sampleRate: number, ours: number): Difference {
  const before = ebur128({ channels: a, sampleRate });
  const after = ebur128({ channels: b, sampleRate });
  return { ours, theirs: after.integratedLufs - before.integratedLufs };
}

const text = ({ ours, theirs }: Difference) => `${theirs.toFixed(3)} LU by ffmpeg, ${ours.toExponential(0)} by ours`;

describe.skipIf(names.length === 0)('a single rack', () => {
  it.each(names.flatMap((name) => Object.keys(STRONG).map((setting) => [name, setting] as const)))(
    '%s, %s',
    (name, setting) => {
      const { planes: all, sampleRate } = realRecording(name);
      const planes = start(all, sampleRate);
      const document = oneChannel(rackOf(...STRONG[setting]()), sampleRate);
      const sources = new Map([['one', planes]]);
      const analysis = new SessionAnalysis(sampleRate, document.alignmentDbfs);
      analysis.setSource('one', planes);
      const result = runToEnd(analysis.analyse(document));
      expect(result).not.toBeNull();
      if (!result) return;
      const { clean, coloured } = runToEnd(renderSession(withMatches(document, result), sources, { factor: 4 }));
      const left = difference(clean, coloured, sampleRate, result.outputMatch?.residualLu ?? 1);
      const { spreadLowLu: low, spreadHighLu: high } = result.outputMatch ?? {};
      const gain = result.racks.one.match?.gainDb.toFixed(2);
      console.log(
        `${name}, ${setting}: ${text(left)}; gain ${gain} dB, short-term ${low?.toFixed(2)} to ${high?.toFixed(2)} LU`,
      );
      expect(Math.abs(left.theirs)).toBeLessThanOrEqual(LIMIT_LU);
      expect(Math.abs(left.ours)).toBeLessThan(0.001);
    },
  );
});

/** A session of real recordings at 48 kHz: two or three on a bus, one beside it, stages everywhere. */
function sessionOf(channelNames: string[], racks: () => { channel: Rack; bus: Rack; mix: Rack }): SessionDocument {
  const { channel, bus, mix } = racks();
  const last = channelNames.length - 1;
  return {
    ...emptySession(48000, 'Real recordings'),
    channels: channelNames.map((name, index) =>
      channelOf(name, {
        busId: index < last ? 'bus' : null,
        gainDb: [-4, -1, 2, 0][index % 4],
        pan: [-50, 40, 0, 20][index % 4],
        rack: { ...channel, stages: channel.stages.map((stage) => ({ ...stage, id: `${stage.id}-${index}` })) },
      }),
    ),
    buses: [newBus('bus', 'Bus', { gainDb: -2, rack: bus })],
    mix: { rack: mix, outputMatchDb: null },
  };
}

const SESSIONS = {
  mild: () => ({
    channel: rackOf(stageOf('soft-clip', { drive: -3, bias: 20 })),
    bus: rackOf(stageOf('harmonic-set')),
    mix: rackOf(stageOf('diode-pair', { drive: -4 })),
  }),
  strong: () => ({
    channel: rackOf(stageOf('soft-clip', { drive: 12, bias: 50 }), stageOf('harmonic-set', { drive: 6 })),
    bus: rackOf(stageOf('diode-pair', { drive: 10 })),
    mix: rackOf(stageOf('soft-clip', { curve: 'algebraic', knee: 8, drive: 10, trimIn: 4 })),
  }),
};

describe.skipIf(names.length < 3)('a session of channels, bus and mix', () => {
  const pianos = names.filter((name) => name.startsWith('piano'));
  const chosen = [pianos, names.slice(-4)].filter((list) => list.length >= 3);

  it.each(
    chosen.flatMap((list) =>
      (Object.keys(SESSIONS) as (keyof typeof SESSIONS)[]).map((setting) => [list.join(' + '), setting, list] as const),
    ),
  )('%s, %s', (title, setting, list) => {
    const document = sessionOf([...list], SESSIONS[setting]);
    const sources = new Map(list.map((name) => [name, start(realRecordingAt(name, 48000), 48000)]));
    const analysis = new SessionAnalysis(48000, document.alignmentDbfs);
    for (const [id, planes] of sources) analysis.setSource(id, planes);
    const result = runToEnd(analysis.analyse(document));
    expect(result).not.toBeNull();
    if (!result) return;
    const matched = withMatches(document, result);
    const { clean, coloured } = runToEnd(renderSession(matched, sources, { factor: 4 }));
    const left = difference(clean, coloured, 48000, result.outputMatch?.residualLu ?? 1);
    console.log(`${title}, ${setting}: ${text(left)}; last gain ${matched.mix.outputMatchDb?.toFixed(2)} dB`);
    expect(Math.abs(left.theirs)).toBeLessThanOrEqual(LIMIT_LU);
    for (const { match } of Object.values(result.racks)) expect(Math.abs(match?.residualLu ?? 1)).toBeLessThan(0.001);

    // With the racks' gains alone the sum is off: the last gain has something to do, and is what does it.
    const without = { ...matched, mix: { ...matched.mix, outputMatchDb: 0 } };
    const bare = runToEnd(renderSession(without, sources, { factor: 4 })).coloured;
    const off = exactMatch(matchReference(clean, 48000), bare, 48000)?.gainDb ?? 0;
    expect(off).toBeCloseTo(matched.mix.outputMatchDb ?? 99, 3);
  });
});
