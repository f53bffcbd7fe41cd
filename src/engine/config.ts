/** What the engine is told: plain data, made from a session document by the hosts. */

/** What one session can hold: the worklet node has an input for each channel, and racks are made beforehand. */
export const MAX_CHANNELS = 32;
export const MAX_BUSES = 8;

export interface StageConfig {
  /** The same key means the same stage: a move of its parameters is smoothed, anything else is faded. */
  readonly key: string;
  readonly kind: string;
  readonly on: boolean;
  /** One number per declared parameter, in the declaration's order (`toNumber`). */
  readonly values: readonly number[];
  /**
   * Amplitude at the curve's input that 0 dB of drive gives a sine at the alignment level, in the curve's own units
   * (`alignmentAmplitude`). Solved where the configuration is made, never on the audio thread.
   */
  readonly amplitude: number;
}

export interface RackConfig {
  readonly on: boolean;
  readonly stages: readonly StageConfig[];
  /** Loudness match as an amplitude ratio, 1 for none. */
  readonly match: number;
}

export interface ChannelConfig {
  /** Index of the bus, −1 for the mix. */
  readonly bus: number;
  readonly gain: number;
  /** Balance, −1 to 1. */
  readonly pan: number;
  /** Heard alone with others that are soloed, straight from behind its gain and balance. */
  readonly solo?: boolean;
  readonly rack: RackConfig;
}

export interface BusConfig {
  readonly gain: number;
  readonly solo?: boolean;
  readonly rack: RackConfig;
}

/** One side of the switch: a complete graph. */
export interface GraphConfig {
  readonly channels: readonly ChannelConfig[];
  readonly buses: readonly BusConfig[];
  readonly mix: RackConfig;
  /** One last gain at the output, amplitude ratio. */
  readonly outputGain: number;
}

export interface SessionConfig {
  readonly alignmentDbfs: number;
  readonly a: GraphConfig;
  readonly b: GraphConfig;
  /** Common headroom: lowers both sides alike before the fade, behind every tap. Amplitude ratio; 1 where left out. */
  readonly headroom?: number;
}

export const EMPTY_RACK: RackConfig = { on: true, stages: [], match: 1 };
