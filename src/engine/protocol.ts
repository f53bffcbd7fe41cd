/** What the page and the audio worklet say to each other. Plain data. */
import type { SessionConfig } from './config.ts';
import type { Place } from './graph-plan.ts';
import type { EngineOptions, Listen } from './session-engine.ts';

export const PROCESSOR_NAME = 'level-best-session';

export interface ProcessorOptions {
  readonly engine: EngineOptions;
  readonly config: SessionConfig;
  /** The kernels: a compiled module where the browser passes one on, and the bytes in any case. */
  readonly module?: WebAssembly.Module;
  readonly bytes: Uint8Array<ArrayBuffer>;
}

/** Frames in one tap message: 75 a second at 48 kHz, enough for a screen of 60 Hz. */
export const TAP_FRAMES = 640;

/** Bytes in a tap buffer; buffers of any other length are level reports. */
export const TAP_BYTES = 4 * 4 * TAP_FRAMES;

export type ToProcessor =
  /** What changes the sound has a serial number, the greater the later. */
  | { readonly type: 'update' | 'reset'; readonly config: SessionConfig; readonly serial: number }
  | {
      readonly type: 'match';
      readonly rack: Place;
      readonly index: number;
      readonly gain: number;
      readonly serial: number;
    }
  | { readonly type: 'listen'; readonly side: Listen; readonly addedGain: number }
  /** Taps of another rack or another start; what is handed out from now on has this serial. */
  | { readonly type: 'tap'; readonly point: Place; readonly index: number; readonly serial: number }
  | { readonly type: 'soft-start'; readonly holdSeconds: number }
  | { readonly type: 'monitor'; readonly gain: number }
  | { readonly type: 'panic'; readonly on: boolean }
  | { readonly type: 'record'; readonly on: boolean }
  /** Live loudness starts anew; reports from now on have this serial. */
  | { readonly type: 'reset-levels'; readonly serial: number }
  /** Gives a buffer back, so that the audio thread need not make new ones. */
  | { readonly type: 'recycle'; readonly buffer: ArrayBuffer };

/** Where a block of taps belongs. */
export interface TapStamp {
  /** Serial of the `tap` message that it answers. */
  readonly tap: number;
  /** Frames since the start at its first sample, so that a block that was left out shows. */
  readonly at: number;
  /** Serial of the settings that all of it was made with; of older ones while newer ones glide in. */
  readonly settings: number;
}

/** Where a level report belongs. */
export interface ReportStamp {
  /** Serial of the `reset-levels` message that it answers. */
  readonly reset: number;
  /** Serial of the settings that all of it was made with; of older ones while newer ones glide in. */
  readonly settings: number;
  /** Reports left out just before it; their peaks are in this one. */
  readonly missed: number;
}

export type FromProcessor =
  | { readonly type: 'ready' }
  | { readonly type: 'fault'; readonly text: string }
  /** Planes of TAP_FRAMES: A left, A right, B left, B right. `reductionDb`: what the output guard took off. */
  | { readonly type: 'tap'; readonly buffer: ArrayBuffer; readonly reductionDb: number; readonly stamp: TapStamp }
  /** `LevelTaps.report` of the last 100 ms. */
  | { readonly type: 'levels'; readonly buffer: ArrayBuffer; readonly stamp: ReportStamp }
  /** Planes of TAP_FRAMES: output left, output right. */
  | { readonly type: 'recorded'; readonly buffer: ArrayBuffer };
