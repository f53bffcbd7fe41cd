/** Solo is heard before the buses, aligned with the mix, and never changes what a bus or the mix is driven with. */
import { describe, expect, it } from 'vitest';
import { gaussian, seededRandom } from '../../src/dsp/random.ts';
import { SESSION_LATENCY } from '../../src/engine/session-engine.ts';
import { rack, stage } from '../support/rig.ts';
import { bus, channel, engine, graph, runSession, session } from '../support/session-rig.ts';

function noise(seed: number, length = 6000): Float32Array {
  const random = seededRandom(seed);
  return Float32Array.from({ length }, () => 0.2 * gaussian(random));
}

const hot = () => rack([stage('soft-clip', { drive: 12 })]);

describe('solo', () => {
  const inputs = [[noise(1)], [noise(2)], [noise(3)]];

  it('plays a channel alone and straight, in the same sample as the mix would', () => {
    const channels = [channel(0, { solo: true, gain: 0.5 }), channel(0), channel(-1)];
    const { output } = runSession(engine(session(graph(channels, [bus({ rack: hot() })], hot()))), inputs, 6000);
    for (let i = 0; i < 5000; i++) expect(output[0][i + SESSION_LATENCY]).toBe(Math.fround(0.5 * inputs[0][0][i]));
  });

  it('adds several soloed channels and buses', () => {
    const channels = [channel(0, { solo: true }), channel(1), channel(-1, { solo: true })];
    const config = session(graph(channels, [bus(), bus({ solo: true })]));
    const { output } = runSession(engine(config), inputs, 6000);
    for (let i = 0; i < 5000; i++) {
      const expected = inputs[0][0][i] + inputs[1][0][i] + inputs[2][0][i];
      expect(output[0][i + SESSION_LATENCY]).toBeCloseTo(expected, 6);
    }
  });

  it('leaves what the bus rack is driven with as it was', () => {
    const channels = (solo: boolean) => [channel(0, { solo }), channel(0), channel(-1)];
    const tapped = (solo: boolean) => {
      const made = engine(session(graph(channels(solo), [bus({ rack: hot() })], hot())));
      made.tap('bus', 0);
      const planes = [new Float32Array(6016), new Float32Array(6016)];
      const out = [new Float32Array(6016), new Float32Array(6016)];
      for (let at = 0; at < 6000; at += 64) {
        made.process(inputs, out, 64, at);
        made.readTap(1, planes, at, 64);
      }
      return planes[0];
    };
    expect(tapped(true)).toEqual(tapped(false));
  });

  it('comes and goes in 8 ms without a step larger than the signals have', () => {
    const tone = Float32Array.from({ length: 24000 }, (_, i) => 0.3 * Math.sin((2 * Math.PI * 100 * i) / 48000));
    const config = (solo: boolean) => session(graph([channel(0, { solo }), channel(0)], [bus()]));
    const made = engine(config(false));
    const out = [new Float32Array(24000), new Float32Array(24000)];
    for (let at = 0; at < 24000; at += 100) {
      if (at === 6000) made.update(config(true));
      if (at === 15000) made.update(config(false));
      made.process([[tone], [tone]], out, 100, at);
    }
    // The steepest the sum of both tones is, plus the fade's own slope.
    const steepest = 0.6 * ((2 * Math.PI * 100) / 48000) + 0.6 / 384;
    for (let i = 1; i < 24000; i++) expect(Math.abs(out[0][i] - out[0][i - 1])).toBeLessThan(steepest * 1.3);
    expect(Math.max(...out[0].subarray(9000, 12000))).toBeCloseTo(0.3, 3);
    expect(Math.max(...out[0].subarray(20000))).toBeCloseTo(0.6, 3);
  });
});
