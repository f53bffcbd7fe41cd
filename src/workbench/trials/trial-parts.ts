/** What blind trials need of the session and of the host. */

import type { Interruption } from '../../audio/interruptions.ts';
import type { TrialPair } from '../../audio/trial-graph.ts';
import type { BitSource } from '../../blind/random-bits.ts';
import type { Slot, TrialRecord } from '../../blind/trial-record.ts';
import type { RenderedSounds, TrialRequest } from '../../measure/trial/trial-set.ts';
import type { Planes } from '../../render/rack-renderer.ts';
import type { Command } from '../../session/commands.ts';
import type { SessionDocument } from '../../session/document.ts';

/** The session that trials are about; the workbench is one. */
export interface TrialHost {
  readonly document: SessionDocument;
  /** Each channel's sound at the session's rate. */
  planes(): ReadonlyMap<string, Planes>;
  readonly durationSeconds: number;
  /** dB, −60 is silence. */
  readonly monitorDb: number;
  /** Stops the session's own sound. */
  silence(): void;
  dispatch(command: Command): void;
  /** Keeps the record with the session; false where there is no room. */
  keep(record: TrialRecord): boolean;
  say(kind: 'info' | 'warning' | 'fault', text: string): void;
}

/** Plays one pair after the other; `TrialPlayer` does. */
export interface PairPlayer {
  open(sampleRate: number): Promise<void>;
  /** The device's clock, seconds. */
  readonly now: number;
  start(pair: TrialPair, at: number): void;
  hear(slot: Slot): void;
  /** @param level where the sound comes back, an amplitude ratio */
  setMuted(muted: boolean, level: number): void;
  stop(): void;
  close(): void;
}

/** What trials are made with. */
export interface TrialTools {
  render(request: TrialRequest, onProgress: (share: number) => void, signal: AbortSignal): Promise<RenderedSounds>;
  player(onInterruption: (reason: Interruption) => void): PairPlayer;
  readonly bits: BitSource;
  /** Milliseconds on a steady clock. */
  now(): number;
  wait(ms: number): Promise<void>;
  /** ISO 8601. */
  date(): string;
  /** Program and version. */
  readonly program: string;
}
