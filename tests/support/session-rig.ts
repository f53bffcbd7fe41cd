/** A session engine in Node, for tests. */
import type { BusConfig, ChannelConfig, GraphConfig, RackConfig, SessionConfig } from '../../src/engine/config.ts';
import { EMPTY_RACK } from '../../src/engine/config.ts';
import { SessionEngine } from '../../src/engine/session-engine.ts';
import { freshKernels } from './rig.ts';

export function channel(bus: number, more: Partial<ChannelConfig> = {}): ChannelConfig {
  return { bus, gain: 1, pan: 0, rack: EMPTY_RACK, ...more };
}

export function bus(more: Partial<BusConfig> = {}): BusConfig {
  return { gain: 1, rack: EMPTY_RACK, ...more };
}

export function graph(channels: ChannelConfig[], buses: BusConfig[], mix: RackConfig = EMPTY_RACK): GraphConfig {
  return { channels, buses, mix, outputGain: 1 };
}

export function session(a: GraphConfig, b: GraphConfig = a): SessionConfig {
  return { alignmentDbfs: -18, a, b };
}

export function engine(config: SessionConfig, factor: 4 | 8 = 4): SessionEngine {
  const made = new SessionEngine(freshKernels(), {
    sampleRate: 48000,
    factor,
    alignmentDbfs: config.alignmentDbfs,
    maxChannels: 4,
    maxBuses: 2,
  });
  made.reset(config);
  return made;
}

export interface SessionRun {
  output: [Float32Array, Float32Array];
  a: [Float32Array, Float32Array];
  b: [Float32Array, Float32Array];
}

/** Runs whole inputs through, in blocks, and returns the output and both sides, latency and all. */
export function runSession(
  target: SessionEngine,
  inputs: readonly (readonly Float32Array[])[],
  frames: number,
  options: { block?: number; before?: (frame: number) => void } = {},
): SessionRun {
  const { block = 128, before } = options;
  const pair = (): [Float32Array, Float32Array] => [new Float32Array(frames), new Float32Array(frames)];
  const run: SessionRun = { output: pair(), a: pair(), b: pair() };
  for (let done = 0; done < frames; done += block) {
    before?.(done);
    target.process(inputs, run.output, Math.min(block, frames - done), done, run.a, run.b);
  }
  return run;
}
