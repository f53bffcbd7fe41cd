/** The session engine: routing, alignment, balance, the switch, moves during playback. Source: design notes. */
import { describe, expect, it } from 'vitest';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { gainToDb } from '../../src/dsp/units.ts';
import type { SessionConfig } from '../../src/engine/config.ts';
import { FADE_SECONDS } from '../../src/engine/graph-pass.ts';
import { SESSION_LATENCY } from '../../src/engine/session-engine.ts';
import { rack, stage } from '../support/rig.ts';
import { bus, channel, engine, graph, runSession, session } from '../support/session-rig.ts';
import { SPLATTER_FRAMES, splatterDbc } from '../support/splatter.ts';

function noise(seed: number, length = 4000): Float32Array {
  const random = seededRandom(seed);
  return Float32Array.from({ length }, () => 0.1 * gaussian(random));
}

function impulse(at: number, length: number): Float32Array {
  const x = new Float32Array(length);
  x[at] = 0.001;
  return x;
}

const soft = (params: Record<string, number | string> = {}) => stage('soft-clip', params);

describe('alignment', () => {
  it('is 195 frames', () => {
    expect(SESSION_LATENCY).toBe(195);
  });

  it.each([4, 8] as const)(
    'channel to bus to mix and channel to mix arrive together, coloured or not, at %sx',
    (factor) => {
      const coloured = rack([soft(), soft({ curve: 'algebraic', knee: 3 })]);
      for (const [channelRack, busRack, mixRack] of [
        [undefined, undefined, undefined],
        [coloured, undefined, coloured],
        [coloured, coloured, coloured],
      ]) {
        const channels = [
          channel(0, channelRack && { rack: channelRack }),
          channel(-1, channelRack && { rack: channelRack }),
          channel(1),
        ];
        const config = session(graph(channels, [bus(busRack && { rack: busRack }), bus()], mixRack));
        for (let lit = 0; lit < channels.length; lit++) {
          const inputs = channels.map((_, i) => [i === lit ? impulse(100, 600) : new Float32Array(600)]);
          const { output } = runSession(engine(config, factor), inputs, 600);
          const peak = output[0].reduce(
            (best, value, i) => (Math.abs(value) > Math.abs(output[0][best]) ? i : best),
            0,
          );
          expect(peak).toBe(100 + SESSION_LATENCY);
          expect(output[0][peak]).toBeCloseTo(0.001, 6);
        }
      }
    },
  );

  it('a clean side is the sum of its channels, delayed, bit for bit', () => {
    const inputs = [[noise(1)], [noise(2), noise(3)], [noise(4)]];
    const config = session(graph([channel(0), channel(-1), channel(0)], [bus()]));
    const { a } = runSession(engine(config), inputs, 4000, { block: 128 });
    // The engine's order of summing: into the bus, and the direct channel into the mix before it.
    const f = Math.fround;
    for (let i = 0; i < 4000 - SESSION_LATENCY; i++) {
      const left = f(inputs[1][0][i] + f(inputs[0][0][i] + inputs[2][0][i]));
      const right = f(inputs[1][1][i] + f(inputs[0][0][i] + inputs[2][0][i]));
      expect(a[0][i + SESSION_LATENCY]).toBe(left);
      expect(a[1][i + SESSION_LATENCY]).toBe(right);
    }
  });

  it('gives the same bits for any block size', () => {
    const channels = [channel(0, { rack: rack([soft()]), gain: 0.7, pan: -0.3 }), channel(-1)];
    const config = session(
      graph([channel(0), channel(-1)], [bus()]),
      graph(channels, [bus({ gain: 0.9 })], rack([soft()])),
    );
    const inputs = [[noise(5)], [noise(6)]];
    const run = (block: number) => {
      const target = engine(config);
      target.listenNow('b');
      return runSession(target, inputs, 4000, { block }).output;
    };
    const whole = run(4000);
    for (const block of [1, 37, 128, 441]) expect(run(block)).toEqual(whole);
  });
});

describe('gains', () => {
  function levels(more: object): number[] {
    const x = noise(7, 1000);
    const { a } = runSession(engine(session(graph([channel(-1, more)], []))), [[x]], 1000);
    return a.map((plane) => plane[500 + SESSION_LATENCY] / x[500]);
  }

  it('balance: unity in the middle, a cosine down to nothing on the side turned away from', () => {
    expect(levels({ pan: 0 })).toEqual([1, 1]);
    for (const pan of [-1, -0.5, 0.25, 1]) {
      const [left, right] = levels({ pan });
      const away = Math.cos((Math.PI / 2) * Math.abs(pan));
      expect(left).toBeCloseTo(pan > 0 ? away : 1, 6);
      expect(right).toBeCloseTo(pan < 0 ? away : 1, 6);
    }
  });

  it('channel, bus and output gains multiply', () => {
    const x = noise(8, 1000);
    const one = graph([channel(0, { gain: 0.5 })], [bus({ gain: 3 })]);
    const { a, b } = runSession(engine(session(one, { ...one, outputGain: 0.25 })), [[x]], 1000);
    expect(a[0][500 + SESSION_LATENCY] / x[500]).toBeCloseTo(1.5, 6);
    expect(b[0][500 + SESSION_LATENCY] / x[500]).toBeCloseTo(0.375, 6);
  });

  it('refuses more channels than it was made for', () => {
    expect(() =>
      engine(
        session(
          graph(
            Array.from({ length: 5 }, () => channel(-1)),
            [],
          ),
        ),
      ),
    ).toThrow('4 channels');
  });
});

describe('the switch', () => {
  const clean = graph([channel(0), channel(-1)], [bus()]);
  const coloured = graph(
    [channel(0, { rack: rack([soft({ drive: 6 })], 0.9) }), channel(-1, { rack: rack([soft({ bias: 30 })]) })],
    [bus({ rack: rack([stage('diode-pair')]) })],
    rack([soft({ drive: 3 })], 0.8),
  );
  const inputs = [[noise(9)], [noise(10)]];
  const fade = FADE_SECONDS * 48000;

  it('takes 8 ms, under 10, is linear, moves everything in the same block, and is bit-exact outside', () => {
    expect(FADE_SECONDS).toBeLessThanOrEqual(0.01);
    const at = 1280;
    for (const block of [128, 40]) {
      const target = engine(session(clean, coloured));
      const { output, a, b } = runSession(target, inputs, 4000, {
        block,
        before: (frame) => frame === at && target.listen('b'),
      });
      for (const side of [0, 1]) {
        expect(output[side].subarray(0, at)).toEqual(a[side].subarray(0, at));
        expect(output[side].subarray(at + fade)).toEqual(b[side].subarray(at + fade));
        for (let i = 1; i < fade; i++) {
          const t = i / fade;
          const expected = (1 - t) * a[side][at + i] + t * b[side][at + i];
          expect(Math.abs(output[side][at + i] - expected)).toBeLessThan(5e-7);
        }
      }
    }
  });

  it('turns round within a fade without a jump', () => {
    const target = engine(session(clean, coloured));
    const tone = Float32Array.from(
      { length: SPLATTER_FRAMES },
      (_, i) => 0.1 * Math.sin((2 * Math.PI * 100 * i) / 48000),
    );
    const at = SPLATTER_FRAMES / 2 - 1024;
    const { output } = runSession(target, [[tone], [tone]], SPLATTER_FRAMES, {
      before: (frame) => {
        if (frame === at) target.listen('b');
        if (frame === at + 256) target.listen('a');
        if (frame === at + 384) target.listen('added', 0.9);
        if (frame === at + 896) target.listen('b');
      },
    });
    // Four kinks of up to 1.9/384 a frame, each 1/(Tω²) at ω: −65 dBc in all beyond 2 kHz. A jump would be −30.
    expect(splatterDbc(output[0], at + 500, 0.2)).toBeLessThan(-60);
  });

  it('plays what was added: B less a gain of A', () => {
    const target = engine(session(clean, coloured));
    target.listenNow('added', 0.75);
    const { output, a, b } = runSession(target, inputs, 4000);
    for (let i = 0; i < 4000; i++) expect(Math.abs(output[0][i] - (b[0][i] - 0.75 * a[0][i]))).toBeLessThan(1e-6);
  });
});

describe('moves during playback', () => {
  const inputs = [[noise(11, 24000)], [noise(12, 24000)]];
  const stages = [soft({ drive: 3 }), stage('diode-pair')];
  const from = session(graph([channel(0, { rack: rack(stages) }), channel(-1)], [bus()]));
  const moved = stages.map((s, i) => ({ ...s, values: s.values.map((v, j) => (j === 1 ? v + 2 + i : v)) }));
  const targets: [string, SessionConfig][] = [
    [
      'other values',
      session(graph([channel(0, { rack: rack(moved, 0.7), gain: 0.5, pan: 0.4 }), channel(-1)], [bus({ gain: 2 })])),
    ],
    [
      'other stages',
      session(
        graph(
          [channel(0, { rack: rack([soft({ curve: 'algebraic', knee: 5 })]) }), channel(-1)],
          [bus()],
          rack([soft()]),
        ),
      ),
    ],
    ['nothing left', session(graph([channel(0), channel(-1)], [bus()]))],
    ['another bus', session(graph([channel(-1, { rack: rack(stages) }), channel(0)], [bus()]))],
    ['a channel more', session(graph([channel(0, { rack: rack(stages) }), channel(-1), channel(0)], [bus()]))],
  ];

  it.each(targets)('%s: update() is reset() once it has settled', (_, to) => {
    const playing = engine(from);
    const live = runSession(playing, inputs, 24000, { before: (frame) => frame === 2560 && playing.update(to) });
    const fresh = runSession(engine(to), inputs, 24000);
    // Every glide is over within 0.1 s; the AC coupling's memory (2 Hz) has fallen by 40 dB after 0.37 s.
    let error = 0;
    for (let i = 20000; i < 24000; i++) error = Math.max(error, Math.abs(live.a[0][i] - fresh.a[0][i]));
    expect(gainToDb(error)).toBeLessThan(-90);
  });

  it('an update to the same configuration changes no bit', () => {
    const playing = engine(from);
    const live = runSession(playing, inputs, 8000, { before: () => playing.update(from) });
    expect(live.a[0]).toEqual(runSession(engine(from), inputs, 8000).a[0]);
  });

  it('a gain that moves does so without a click', () => {
    const tone = Float32Array.from(
      { length: SPLATTER_FRAMES },
      (_, i) => 0.1 * Math.sin((2 * Math.PI * 100 * i) / 48000),
    );
    const at = SPLATTER_FRAMES / 2 - 1024;
    const one = session(graph([channel(0)], [bus()]));
    const two = session({ ...graph([channel(0, { gain: 0.2, pan: -1 })], [bus({ gain: 2 })]), outputGain: 0.5 });
    for (const block of [128, 64, 1024]) {
      const playing = engine(one);
      const { a } = runSession(playing, [[tone]], SPLATTER_FRAMES, {
        block,
        before: (frame) => frame === at && playing.update(two),
      });
      expect(splatterDbc(a[0], at + 700, 0.1), `blocks of ${block}`).toBeLessThan(-80);
    }
  });
});

it('survives hostile input on every path and recovers', () => {
  const hot = rack(
    Array.from({ length: 8 }, () => soft({ trimIn: 24, trimOut: 24, blend: 0 })),
    4,
  );
  const config = session(graph([channel(0, { rack: hot, gain: 4 }), channel(-1)], [bus({ rack: hot, gain: 4 })], hot));
  const bad = Float32Array.from({ length: 2000 }, (_, i) => [Number.NaN, Number.POSITIVE_INFINITY, 1e30, -1e30][i % 4]);
  const playing = engine(config);
  const { output } = runSession(playing, [[bad], [bad]], 2000);
  expect(output[0].every(Number.isFinite)).toBe(true);
  const after = runSession(playing, [], 4000);
  expect(after.output[0].subarray(3000).every((value) => value === 0)).toBe(true);
});

describe('common headroom', () => {
  const length = 12000;
  const inputs = [[noise(1, length), noise(2, length)], [noise(3, length)]];
  const graphs = [
    graph([channel(0), channel(-1)], [bus()]),
    graph([channel(0, { rack: rack([soft()]) }), channel(-1)], [bus()]),
  ] as const;
  const config = (headroom?: number): SessionConfig => ({ ...session(...graphs), headroom });

  it('of 0 dB changes no bit', () => {
    const plain = runSession(engine(config()), inputs, length);
    expect(runSession(engine(config(1)), inputs, length)).toEqual(plain);
  });

  it('lowers both sides and what is heard by the same gain, and no tap', () => {
    const plain = runSession(engine(config()), inputs, length);
    const target = engine(config(0.5));
    const lowered = runSession(target, inputs, length);
    // A power of two: exact in single precision.
    for (const which of ['a', 'b', 'output'] as const) {
      expect(lowered[which][0]).toEqual(plain[which][0].map((x) => 0.5 * x));
    }
    const block = 128;
    const tap = [new Float32Array(block), new Float32Array(block)];
    const side = [new Float32Array(block), new Float32Array(block)];
    for (const which of [0, 1] as const) {
      target.process(inputs, [new Float32Array(block), new Float32Array(block)], block);
      target.readTap(which, tap, 0, block);
      target.readSide(which, side, 0, block);
      expect(side[0]).toEqual(tap[0].map((x) => 0.5 * x));
    }
  });

  it('glides when it moves, without a click', () => {
    const tone = Float32Array.from(
      { length: SPLATTER_FRAMES },
      (_, i) => 0.125 * Math.sin((2 * Math.PI * 100 * i) / 48000),
    );
    const target = engine(config());
    const { output } = runSession(target, [[tone, tone]], SPLATTER_FRAMES, {
      before: (frame) => {
        if (frame === SPLATTER_FRAMES / 2 - 1024) target.update(config(0.4));
      },
    });
    expect(splatterDbc(output[0], SPLATTER_FRAMES / 2 + 2000, 0.125)).toBeLessThan(-80);
  });
});
