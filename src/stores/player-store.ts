import type { Observable } from './observable.ts';

export type Side = 'clean' | 'coloured' | 'added';
export type PlayerState = 'idle' | 'loading' | 'ready' | 'starting' | 'running' | 'failed';

export interface PlayerStore extends Observable {
  readonly state: PlayerState;
  readonly playing: boolean;
  readonly side: Side;
  readonly durationSeconds: number;
  /** Where the sound is now; read it in animation frames. */
  positionSeconds(): number;
  play(): Promise<void>;
  stop(): void;
  seek(seconds: number): void;
  setSide(side: Side): void;
  /** Silence at once, until released. */
  readonly panic: boolean;
  setPanic(on: boolean): void;
  /** True for some seconds after the output guard had to act. */
  readonly guardActing: boolean;
  /** Share of the last seconds, 0 to 1, that the machine computed too late, so that there are gaps; 0 while it keeps up. */
  readonly lateShare: number;
  /** Monitor level, dB, −60 to 0; not part of the session's export. */
  readonly monitorDb: number;
  setMonitorDb(db: number): void;
}
